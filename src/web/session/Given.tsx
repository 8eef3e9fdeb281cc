import { useState } from 'preact/hooks';
import type { SessionShown } from '../../adapters/session.ts';
import { sessionWords as say } from '../words/session.ts';
import { numberOf } from '../number.ts';
import { OneOf, Tap, Text } from './fields.tsx';
import { order, says } from './state.ts';

const EMPTY = { product: '', batch: '', expiry: '', perKg: '', step: '', days: '' };
const USES = ['label', 'off-label', 'not-for-food'] as const;

/** Product, batch, expiry and dose of what every animal is given from now on. */
function Form() {
  const [typed, setTyped] = useState(EMPTY);
  const [use, setUse] = useState<(typeof USES)[number]>('label');
  const give = (): void => {
    const { product, batch, expiry, perKg, step, days } = typed;
    const [mlPerKg, stepMl] = [numberOf(perKg), numberOf(step)];
    const period = days.trim() === '' ? null : numberOf(days);
    const wrongDays = days.trim() !== '' && (period === null || !Number.isInteger(period));
    if (product.trim() === '' || mlPerKg === null || stepMl === null || wrongDays) {
      says.value = { text: say.givenMissing, bad: true };
      return;
    }
    const given = { product, batch, expiry, mlPerKg, stepMl, days: period, use };
    void order({ do: 'given', given }, say.givenFromNow);
  };
  return (
    <>
      {(Object.keys(EMPTY) as (keyof typeof EMPTY)[]).map((name) => (
        <Text
          key={name}
          label={say.given[name]}
          value={typed[name]}
          type={name === 'expiry' ? 'date' : 'text'}
          decimal={name === 'perKg' || name === 'step' || name === 'days'}
          set={(text) => {
            setTyped((now) => ({ ...now, [name]: text }));
          }}
        />
      ))}
      <OneOf
        label={say.use}
        value={use}
        choices={USES.map((one) => [one, say.uses[one]] as const)}
        set={(one) => {
          setUse(one ?? 'label');
        }}
      />
      <Tap big text={say.give} tap={give} />
    </>
  );
}

/** What every animal is given as it passes, and how much of it was used. */
export function Given({ shown }: { shown: SessionShown }) {
  const { given } = shown;
  return (
    <section>
      <h2>{say.givenToday}</h2>
      <p>{say.caution}</p>
      {given === null ? (
        <Form />
      ) : (
        <>
          <p data-testid="given">
            <b>{given.what.product}</b>{' '}
            {say.givenIs(
              given.what.batch,
              given.what.expiry,
              given.what.mlPerKg,
              given.what.stepMl,
            )}
          </p>
          <p data-testid="used">{say.used(given.ml, given.doses)}</p>
          {given.unknown === 0 ? null : <p class="bad">{say.unknown(given.unknown)}</p>}
          <Tap
            big
            text={say.noMore}
            tap={() => void order({ do: 'given', given: null }, say.nothingGiven)}
          />
        </>
      )}
    </section>
  );
}
