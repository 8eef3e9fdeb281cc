/** Ways to a lot or an exit, and what a plan says of tags. */
import type { Plan, Way } from '../../core/sortplan/plan.ts';
import { exitName } from '../say.ts';
import { words } from '../words/en.ts';
import { planWords } from '../words/plan.ts';
import { Choice, Toggle } from './fields.tsx';
import { lists } from './lists.ts';
import { change, plans } from './state.ts';

export function keyOf(way: Way): string {
  if (way === 'hold') return 'hold';
  return 'exit' in way ? `exit ${way.exit}` : `lot ${way.lot}`;
}

export function wayOf(key: string): Way {
  if (key === 'hold') return 'hold';
  const cut = key.indexOf(' ');
  const name = key.slice(cut + 1);
  return key.startsWith('exit') ? { exit: name } : { lot: name };
}

export function waysOf(plan: Plan, hold: boolean): [string, string][] {
  const exits = plans.value?.exits ?? [];
  return [
    ...(hold ? [['hold', planWords.hold] as [string, string]] : []),
    ...plan.lots.map(({ name }): [string, string] => [`lot ${name}`, planWords.toLot(name)]),
    ...exits.map((exit): [string, string] => [`exit ${exit}`, planWords.toExit(exitName(exit))]),
  ];
}

type Tags = NonNullable<Plan['tags']>;

/** Which lists go where; a list that is named no longer is taken out of the plan. */
function Lists({ plan, tags, set }: { plan: Plan; tags: Tags; set: (tags: Tags) => void }) {
  const known = [
    ...new Set([...lists.value.map(({ file }) => file), ...tags.lists.map(({ file }) => file)]),
  ];
  return (
    <>
      {known.map((file) => {
        const at = tags.lists.findIndex((one) => one.file === file);
        const lot = tags.lists[at]?.lot ?? '';
        return (
          <Choice
            key={file}
            label={`${planWords.list}: ${file}`}
            {...(at < 0 ? {} : { path: ['tags', 'lists', at] })}
            value={lot}
            choices={[
              ['', words.noFigure],
              ...plan.lots.map(({ name }) => [name, planWords.toLot(name)] as const),
            ]}
            onChange={(name) => {
              const others = tags.lists.filter((one) => one.file !== file);
              set({ ...tags, lists: name === '' ? others : [...others, { file, lot: name }] });
            }}
          />
        );
      })}
    </>
  );
}

export function TagRules({ plan }: { plan: Plan }) {
  const { tags } = plan;
  const set = (given: Tags): void => {
    change({ ...plan, tags: given });
  };
  const first = plan.lots.find(({ forSlaughter }) => forSlaughter !== true)?.name;
  const toggle = (on: boolean): void => {
    const others = { ...plan };
    delete others.tags;
    const withdrawal = first === undefined ? { exit: plans.value?.exits[0] ?? '' } : { lot: first };
    change(on ? { ...others, tags: { lists: [], withdrawal, unread: 'hold' } } : others);
  };
  return (
    <fieldset class="card" data-rules="tags">
      <legend>{planWords.tags}</legend>
      <Toggle on={tags !== undefined} onChange={toggle}>
        {planWords.tagsOn}
      </Toggle>
      {tags === undefined ? (
        <p class="hint">{planWords.tagsOff}</p>
      ) : (
        <>
          <Choice
            label={planWords.withdrawal}
            path={['tags', 'withdrawal']}
            value={keyOf(tags.withdrawal)}
            choices={waysOf(plan, false)}
            onChange={(key) => {
              const way = wayOf(key);
              if (way !== 'hold') set({ ...tags, withdrawal: way });
            }}
          />
          <Choice
            label={planWords.unread}
            path={['tags', 'unread']}
            value={keyOf(tags.unread)}
            choices={waysOf(plan, true)}
            onChange={(key) => {
              set({ ...tags, unread: wayOf(key) });
            }}
          />
          <Lists plan={plan} tags={tags} set={set} />
        </>
      )}
    </fieldset>
  );
}
