import { useState } from 'preact/hooks';
import type { SessionShown, ShownAnimal } from '../../adapters/session.ts';
import { kgText } from '../say.ts';
import { layout } from '../store.ts';
import { words } from '../words/en.ts';
import { sessionWords as say } from '../words/session.ts';
import { OneOf, Tap, Text } from './fields.tsx';
import { penName } from './Pens.tsx';
import { order } from './state.ts';

function line(one: ShownAnimal): string {
  const division = layout.value?.divisionKg ?? 0.1;
  const kg = one.kg === null ? words.noFigure : `${kgText(one.kg, division)} ${words.kg}`;
  const parts = [
    ...[kg, one.lot ?? say.noLot, penName(one.pen)],
    one.tag === null ? say.noTag : one.tag.slice(-5),
  ];
  if (one.dose !== null) parts.push(one.dose === 'unknown' ? say.doseUnknown : say.ml(one.dose));
  return parts.join(' · ');
}

/** Which animal is meant; `session`: of one that is over. */
interface Of {
  animal: number;
  session?: string;
}

function Tag({ of }: { of: Of }) {
  const [tag, setTag] = useState('');
  return (
    <div class="row">
      <Text label={say.tag} value={tag} decimal set={setTag} />
      <Tap
        text={say.setTag}
        off={!/^\d{15}$/.test(tag)}
        tap={() => void order({ do: 'tag', ...of, tag })}
      />
      <Tap text={say.noTag} tap={() => void order({ do: 'tag', ...of, tag: false })} />
    </div>
  );
}

interface Right {
  one: Pick<ShownAnimal, 'animal' | 'lot' | 'dose'>;
  of?: Of;
  /** Null: those of the plan in use. */
  lots?: string[] | null;
}

/** What one tap puts right about an animal; what was written stays beside it. */
export function PutRight({ one, of = { animal: one.animal }, lots }: Right) {
  const names = lots ?? (layout.value?.lots ?? []).map(({ name }) => name);
  return (
    <div class="right">
      <Tap text={say.pulledOut} tap={() => void order({ do: 'pulled-out', ...of })} />
      <OneOf
        label={say.went}
        value={one.lot}
        choices={names.map((name) => [name, name] as const)}
        set={(lot) => {
          if (lot !== null) void order({ do: 'went', ...of, lot });
        }}
      />
      {one.dose === null ? null : (
        <Tap text={say.notGiven} tap={() => void order({ do: 'dose', ...of, ml: false })} />
      )}
      <Tag of={of} />
    </div>
  );
}

function Animal({ one }: { one: ShownAnimal }) {
  const [open, setOpen] = useState(false);
  const { animal } = one;
  return (
    <li data-animal={animal} class={one.notCounted === null ? '' : 'out'}>
      <button
        type="button"
        class="tap wide"
        aria-expanded={open}
        onClick={() => {
          setOpen(!open);
        }}
      >
        <b>{words.animal(animal)}</b> {line(one)}
      </button>
      {one.notCounted === null ? null : <p>{say.notCounted(one.notCounted)}</p>}
      {one.putRight.length === 0 ? null : (
        <div class="row">
          <p>{say.putRight}</p>
          <Tap text={say.takeBack} tap={() => void order({ do: 'take-back', animal })} />
        </div>
      )}
      {open ? <PutRight one={one} /> : null}
    </li>
  );
}

/** The animals let go last, each to be put right by one tap. */
export function Animals({ shown }: { shown: SessionShown }) {
  return (
    <section>
      <h2>{say.animals}</h2>
      {shown.recent.length === 0 ? <p>{words.noneYet}</p> : <p>{say.animalsHow}</p>}
      <ul>
        {shown.recent.map((one) => (
          <Animal key={one.animal} one={one} />
        ))}
      </ul>
    </section>
  );
}

/** A tag that came twice: asked about once. */
export function CameAgain({ shown }: { shown: SessionShown }) {
  return (
    <>
      {shown.again.map(({ tag, animals }) => {
        const last = animals.at(-1) ?? 0;
        return (
          <section class="asks" key={tag} role="alert" data-testid="came-again">
            <p>{say.cameAgain(tag.slice(-5), animals.join(', '))}</p>
            <Tap
              big
              text={say.same}
              tap={() => void order({ do: 'came-again', animal: last, same: true })}
            />
            <Tap
              big
              text={say.misread(last)}
              tap={() => void order({ do: 'came-again', animal: last, same: false })}
            />
          </section>
        );
      })}
    </>
  );
}
