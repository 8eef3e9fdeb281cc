import type { FittingView } from '../../fitting/view.ts';
import { ago } from '../say.ts';
import { fittingWords as words } from '../words/fitting.ts';
import { words as common } from '../words/en.ts';
import { HoldToRun } from './HoldToRun.tsx';
import { live, shown } from './state.ts';

/** The yard's word for an input, with its own name. */
export function inputName(input: string): string {
  const known = words.inputs[input];
  return known === undefined ? input : `${known} (${input})`;
}

/** One input: on the wire, settled, and since when. */
export function Lamp({ name }: { name: string }) {
  const seen = live.value?.inputs.find((one) => one.name === name);
  if (seen === undefined) return <p class="lamp">{common.noFigure}</p>;
  const { on, level, ageMs } = seen;
  const says = on ? words.on : words.off;
  return (
    <p class={`lamp ${on ? 'lit' : ''}`} data-lamp={name} data-on={on}>
      <svg viewBox="0 0 24 24" aria-hidden="true">
        <circle cx="12" cy="12" r="9" />
      </svg>
      <b>{inputName(name)}</b>
      <span>
        {says}
        {level === on ? `, ${words.settled}` : ''};{' '}
        {ageMs === null ? words.neverChanged : words.changedAgo(ago(ageMs))}
      </span>
    </p>
  );
}

/** Both ways of each leaf. */
export function Leaves({ leaves }: Pick<FittingView, 'leaves'>) {
  return (
    <div class="runs">
      {leaves.flatMap(({ name }) => [
        <HoldToRun key={`${name}.extend`} output={`${name}.extend`} label={words.extend(name)} />,
        <HoldToRun
          key={`${name}.retract`}
          output={`${name}.retract`}
          label={words.retract(name)}
        />,
      ])}
    </div>
  );
}

export function Lamps({ leaves }: Pick<FittingView, 'leaves'>) {
  const now = live.value;
  return (
    <section>
      <h2>{words.lamps}</h2>
      <p>{words.lampsHow}</p>
      {(now?.inputs ?? []).map(({ name }) => (
        <Lamp key={name} name={name} />
      ))}
      {now === null || now.volts === null ? null : (
        <p>{words.volts(now.volts.toFixed(2), (now.leastVolts ?? now.volts).toFixed(2))}</p>
      )}
      <Leaves leaves={leaves} />
      <button
        type="button"
        class="act"
        onClick={() => {
          shown.value = null;
        }}
      >
        <b>{words.back}</b>
      </button>
    </section>
  );
}
