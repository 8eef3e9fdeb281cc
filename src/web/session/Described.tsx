import { useState } from 'preact/hooks';
import type { SessionShown, SessionWords } from '../../adapters/session.ts';
import { sessionWords as say } from '../words/session.ts';
import { numberOf } from '../number.ts';
import { OneOf, Tap, Text } from './fields.tsx';
import { order } from './state.ts';

const SAID = ['farm', 'holding', 'flockMark', 'mob', 'field'] as const;
const FLEECES = ['dry', 'damp', 'wet'] as const;

type Typed = Record<(typeof SAID)[number] | 'hours' | 'who', string> & {
  fleece: SessionWords['fleece'];
};

/** `weather`: of today; feed and fleece of another day are not offered. */
function typedOf(words: SessionWords, weather: boolean): Typed {
  const { farm, holding, flockMark, mob, field, who, hoursOffFeed, fleece } = words;
  const hours = hoursOffFeed === null || !weather ? '' : String(hoursOffFeed);
  return {
    ...{ farm: farm ?? '', holding: holding ?? '', flockMark: flockMark ?? '', mob: mob ?? '' },
    ...{ field: field ?? '', who: who ?? '', hours, fleece: weather ? fleece : null },
  };
}

function said(text: string): string | null {
  return text.trim() === '' ? null : text.trim();
}

function wordsOf(typed: Typed): SessionWords {
  const { farm, holding, flockMark, mob, field, who, hours, fleece } = typed;
  return {
    ...{ farm: said(farm), holding: said(holding), flockMark: said(flockMark), mob: said(mob) },
    ...{ field: said(field), who: said(who), hoursOffFeed: numberOf(hours), fleece },
  };
}

/** What people say of the session: each value of last time is there to be tapped. */
export function Described({ shown }: { shown: SessionShown }) {
  const [typed, setTyped] = useState(() => typedOf(shown.words, true));
  const set = (part: Partial<Typed>): void => {
    setTyped((now) => ({ ...now, ...part }));
  };
  const offered = shown.offered.filter(({ farm }) => farm !== null && farm !== typed.farm);
  return (
    <section>
      <h2>{say.described}</h2>
      {offered.length === 0 ? null : (
        <fieldset>
          <legend>{say.lastTime}</legend>
          {offered.map((one) => (
            <Tap
              key={one.farm}
              text={one.farm ?? ''}
              tap={() => {
                setTyped(typedOf(one, false));
              }}
            />
          ))}
        </fieldset>
      )}
      {SAID.map((name) => (
        <Text
          key={name}
          label={say.fields[name]}
          value={typed[name]}
          set={(text) => {
            set({ [name]: text });
          }}
        />
      ))}
      <Text
        label={say.fields.hoursOffFeed}
        value={typed.hours}
        decimal
        set={(hours) => {
          set({ hours });
        }}
      />
      <OneOf
        label={say.fields.fleece}
        value={typed.fleece}
        choices={FLEECES.map((one) => [one, say.fleece[one]] as const)}
        set={(fleece) => {
          set({ fleece });
        }}
      />
      <Text
        label={say.fields.who}
        value={typed.who}
        set={(who) => {
          set({ who });
        }}
      />
      <Tap
        big
        text={say.keep}
        tap={() => void order({ do: 'describe', words: wordsOf(typed) }, say.kept)}
      />
      <p>{say.anotherIs}</p>
      <Tap
        big
        text={say.another}
        tap={() => void order({ do: 'begin', words: wordsOf(typed) }, say.begun)}
      />
    </section>
  );
}
