import type { FittingView, ItemView } from '../../fitting/view.ts';
import { fittingWords as words } from '../words/fitting.ts';
import { Lamp, Leaves } from './Lamps.tsx';
import { answer, live, say } from './state.ts';

/** Items that the service watches for, once somebody says begin. */
export function WatchAsk({ view, item }: { view: FittingView; item: ItemView }) {
  const { ask } = item;
  const watching = live.value?.watching?.item === item.id ? live.value.watching : null;
  return (
    <>
      {ask.kind === 'input' ? <Lamp name={ask.input} /> : null}
      {ask.kind === 'input' && ask.input === 'actuatorPower' ? (
        <>
          <p>{words.railHow}</p>
          <Leaves leaves={view.leaves} />
        </>
      ) : null}
      {ask.kind === 'stopped' || ask.kind === 'drop-out' ? (
        <>
          {ask.kind === 'stopped' ? <Lamp name="stopLoop" /> : <Lamp name="actuatorPower" />}
          <Leaves leaves={view.leaves} />
        </>
      ) : null}
      {watching === null ? (
        <button type="button" class="act" onClick={() => void say({ do: 'watch', item: item.id })}>
          <b>{words.begin}</b>
        </button>
      ) : (
        <p role="status" class="watching">
          {progress(item, watching)}
        </p>
      )}
      {ask.kind === 'quiet' ? (
        <button type="button" class="act" onClick={() => void answer(item, 'none')}>
          <b>{words.noFence}</b>
        </button>
      ) : null}
    </>
  );
}

function progress({ ask }: ItemView, { forMs, left }: { forMs: number; left: boolean }): string {
  if (ask.kind === 'quiet') return words.fenceLeft((forMs / 60_000).toFixed(1));
  const stop = live.value?.stop ?? null;
  if (ask.kind === 'stopped' && stop !== null && stop.offMs !== null) {
    return stop.resetMs === null ? words.stopAt(Math.round(stop.offMs)) : words.stopReset;
  }
  return left ? words.leftRest : words.watching;
}

/** Items that are measured already: one touch takes the figure. */
export function TakeAsk({ item }: { item: ItemView }) {
  const { ask } = item;
  const now = live.value;
  const reads =
    ask.kind === 'readings'
      ? `${now?.perSecond.toFixed(1) ?? '–'} ${words.units.perSecond}`
      : ask.kind === 'zero'
        ? `${now?.kg?.toFixed(2) ?? '–'} ${words.units.kg}`
        : null;
  return (
    <>
      {reads === null ? null : <p>{words.nowReads(reads)}</p>}
      <button type="button" class="act" onClick={() => void say({ do: 'take', item: item.id })}>
        <b>{ask.kind === 'reboots' ? words.yes : words.take}</b>
      </button>
    </>
  );
}
