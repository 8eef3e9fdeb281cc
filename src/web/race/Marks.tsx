import { signal } from '@preact/signals';
import type { LiveNow } from '../../adapters/page/messages.ts';
import { command, isLive, layout, race } from '../store.ts';
import { words } from '../words/en.ts';

type Value = string | number | boolean;

/** Values of the marks that have some; the others are given or not. */
export const MARK_VALUES: Record<string, (string | number)[]> = {
  condition: [1, 1.5, 2, 2.5, 3, 3.5, 4, 4.5, 5],
  sex: ['female', 'male', 'castrated'],
  rearing: ['single', 'twin'],
};

/** The mark whose values are laid out, or null. */
const choosing = signal<string | null>(null);

export function markValueWords(value: Value): string {
  return words.markValues[String(value)] ?? String(value);
}

/** One button a mark; what has values lays them out first. */
function MarkButton({ name, animal }: { name: string; animal: Animal }) {
  const given = animal.marks.find((mark) => mark.name === name)?.value ?? false;
  const values = MARK_VALUES[name];
  const press = (): void => {
    if (values === undefined) give(animal, name, given === false);
    else choosing.value = choosing.value === name ? null : name;
  };
  return (
    <button
      type="button"
      class="small"
      aria-pressed={given !== false}
      {...(values === undefined ? {} : { 'aria-expanded': choosing.value === name })}
      onClick={press}
    >
      {words.markNames[name] ?? name}
      {values === undefined || given === false ? null : <b>{markValueWords(given)}</b>}
    </button>
  );
}

type Animal = NonNullable<LiveNow['animal']>;

function give(animal: Animal, name: string, value: Value): void {
  choosing.value = null;
  void command({ do: 'mark', mark: { name, value }, animal: animal.number });
}

function Values({ name, animal }: { name: string; animal: Animal }) {
  const given = animal.marks.find((mark) => mark.name === name)?.value ?? false;
  return (
    <div class="values" role="group" aria-label={words.markNames[name] ?? name}>
      {(MARK_VALUES[name] ?? []).map((value) => (
        <button
          type="button"
          key={value}
          aria-pressed={given === value}
          onClick={() => {
            give(animal, name, given === value ? false : value);
          }}
        >
          {markValueWords(value)}
        </button>
      ))}
    </div>
  );
}

/** Quick marks for the animal on the crate, until it is let go; bound to its number. */
export function Marks() {
  const now = isLive.value ? race.value : null;
  const offered = layout.value?.marks ?? [];
  const animal = now?.animal ?? null;
  if (offered.length === 0 || animal === null || now?.weight.state === 'leaving') return null;
  const open = choosing.value;
  return (
    <section class="marks" aria-label={words.marks}>
      {open !== null && offered.includes(open) ? <Values name={open} animal={animal} /> : null}
      <div class="offered">
        {offered.map((name) => (
          <MarkButton key={name} name={name} animal={animal} />
        ))}
      </div>
    </section>
  );
}
