import type { LeafEnd } from '../../core/interlock/gate.ts';
import type { FittingView, ItemView } from '../../fitting/view.ts';
import { exitName } from '../say.ts';
import { fittingWords as words } from '../words/fitting.ts';
import { limitText } from './found.ts';
import { HoldToRun } from './HoldToRun.tsx';
import { answer, live, say } from './state.ts';

function runTo(leaf: string, end: LeafEnd) {
  const out = end === 'extended';
  const label = out ? words.extend(leaf) : words.retract(leaf);
  return <HoldToRun key={leaf} output={`${leaf}.${out ? 'extend' : 'retract'}`} label={label} />;
}

/** Whole strokes one after another: hold, let go at the end, take. */
export function TravelAsk({ item, leaf }: { item: ItemView; leaf: string }) {
  const stroke = live.value?.strokes.find((one) => one.leaf === leaf);
  return (
    <>
      <p class="limit">{limitText(item.ask)}</p>
      <div class="runs">
        {runTo(leaf, 'extended')}
        {runTo(leaf, 'retracted')}
      </div>
      <p>{stroke === undefined ? words.noStroke : words.lastStroke(Math.round(stroke.ms))}</p>
      <button
        type="button"
        class="act"
        disabled={stroke === undefined || (live.value?.moving.length ?? 0) > 0}
        onClick={() => void say({ do: 'take', item: item.id })}
      >
        <b>{words.take}</b>
      </button>
    </>
  );
}

export function DirectionAsk(props: { item: ItemView; leaf: string; end: LeafEnd }) {
  const { item, leaf, end } = props;
  const choices = [
    ['extended', words.wentOut],
    ['retracted', words.wentIn],
    ['still', words.wentNot],
  ] as const;
  return (
    <>
      {runTo(leaf, end)}
      <fieldset class="choices">
        <legend>{words.wentWhere}</legend>
        {choices.map(([value, label]) => (
          <button
            type="button"
            class="act"
            key={value}
            data-answer={value}
            onClick={() => void answer(item, value)}
          >
            <b>{label}</b>
          </button>
        ))}
      </fieldset>
    </>
  );
}

/** Sends each leaf to its end, then asks which way stands open. */
export function ExitAsk(props: {
  view: FittingView;
  item: ItemView;
  ends: Record<string, LeafEnd>;
}) {
  const { view, item, ends } = props;
  return (
    <>
      <div class="runs">{Object.entries(ends).map(([leaf, end]) => runTo(leaf, end))}</div>
      <fieldset class="choices">
        <legend>{words.whichExit}</legend>
        {view.exits.map((exit) => (
          <button
            type="button"
            class="act"
            key={exit}
            data-answer={exit}
            onClick={() => void answer(item, exit)}
          >
            <b>{exitName(exit)}</b>
          </button>
        ))}
      </fieldset>
    </>
  );
}
