/** What was seen, as the answer to an item: found, wrong, or not there yet. */
import type { Direction } from '../core/interlock/gate.ts';
import { directionTo } from '../core/interlock/leaves.ts';
import { TICK_MS } from '../core/trace.ts';
import { judge } from './judge.ts';
import type { Result, Value } from './state.ts';
import type { Ask, Item } from './steps.ts';
import { STILL_MS, type Watch } from './watch.ts';

/** Off within this of the stop loop's opening, ms: a tick, and one that came late. */
const OFF_MS = 40;
/** An input is back at rest when it was so for this long, ms. */
const BACK_MS = 100;
/** The battery is at its limit within this, V. */
const NEAR_VOLTS = 0.5;
const MINUTE_MS = 60_000;

/** An item that the service looks for. */
export interface LookedFor {
  item: Item;
  beganMs: number;
  /** Changes of all inputs before. */
  changes: number;
  /** The input has left its rest. */
  left: boolean;
}

export type Found = Pick<Result, 'ok' | 'value' | 'way' | 'volts'>;

export function changesOf(watch: Watch): number {
  return Object.values(watch.inputs).reduce((sum, one) => sum + one.changes, 0);
}

/** What was looked for has come, or can come no more; null where neither. Sets `left`. */
export function settle(looked: LookedFor, watch: Watch, nowMs: number): Found | null {
  const { ask } = looked.item;
  switch (ask.kind) {
    case 'input':
      return settleInput(ask, looked, watch, nowMs);
    case 'quiet': {
      if (changesOf(watch) !== looked.changes) return { ok: false, value: newest(watch) };
      const value = [ask.forMs / MINUTE_MS];
      return nowMs - looked.beganMs >= ask.forMs ? { ok: true, value } : null;
    }
    case 'stopped': {
      const { stop } = watch;
      if (stop === null || stop.offMs === null || stop.resetMs === null) return null;
      if (!stop.movedAgain && nowMs - stop.resetMs < STILL_MS) return null;
      return { ok: stop.offMs <= OFF_MS && !stop.movedAgain, value: [Math.round(stop.offMs)] };
    }
    case 'drop-out': {
      const { railMs } = watch;
      if (railMs === null) return null;
      // Both ends are seen at ticks: a relay that keeps its time may seem to take one tick more.
      return { ok: railMs <= ask.mostMs + TICK_MS, value: [Math.round(railMs)] };
    }
    default:
      return null;
  }
}

function settleInput(
  ask: Extract<Ask, { kind: 'input' }>,
  looked: LookedFor,
  watch: Watch,
  nowMs: number,
): Found | null {
  const seen = watch.inputs[ask.input];
  if (seen === undefined) return null;
  if (seen.on !== ask.rest) looked.left = true;
  const back = seen.on === ask.rest && nowMs - (seen.changedMs ?? nowMs) >= BACK_MS;
  return looked.left && back ? { ok: true, value: true } : null;
}

/** The input that changed last. */
function newest({ inputs }: Watch): string {
  const all = Object.entries(inputs);
  const [first] = all.sort(([, a], [, b]) => (b.changedMs ?? 0) - (a.changedMs ?? 0));
  return first?.[0] ?? '';
}

/** Why this answer cannot be taken now, in words, or null. */
export function notAsked(ask: Ask, value: Value, { last, moving }: Watch): string | null {
  if (judge(ask, value) === null) return 'That is no answer to this: see what is asked.';
  if (moving.length > 0) return 'A leaf is moving: let go first.';
  const ends =
    ask.kind === 'exit' ? ask.ends : ask.kind === 'direction' ? { [ask.leaf]: ask.end } : {};
  const elsewhere = Object.entries(ends).find(
    ([leaf, end]) => last[leaf]?.direction !== directionTo(end),
  );
  return elsewhere === undefined ? null : `Send ${elsewhere[0]} as shown first.`;
}

/** What an item that takes strokes has had so far. */
export interface Before {
  so: number[];
  /** Which way the last of these went. */
  way: Direction | null;
  /** Number of each leaf's stroke that was taken. */
  taken: Map<string, number>;
}

/** What was measured last as this item's figure, or in words why there is none. */
export function measured(ask: Ask, watch: Watch, nowMs: number, before: Before): Found | string {
  if (ask.kind === 'readings') {
    const perSecond = watch.perSecond(nowMs);
    return { ok: perSecond >= ask.least, value: [perSecond] };
  }
  if (ask.kind === 'zero') {
    if (watch.kg === null) return 'No weight is coming.';
    return { ok: Math.abs(watch.kg) <= ask.withinKg + 1e-9, value: [watch.kg] };
  }
  return ask.kind === 'travel' ? stroke(ask, watch, before) : 'Nothing is measured here.';
}

function stroke(
  ask: Extract<Ask, { kind: 'travel' }>,
  watch: Watch,
  { so, way, taken }: Before,
): Found | string {
  if (watch.moving.length > 0) return 'A leaf is moving: let go first.';
  const last = watch.last[ask.leaf];
  if (last === undefined || taken.get(ask.leaf) === last.number) {
    return `Send ${ask.leaf} from end to end first.`;
  }
  if (last.whole === false || (last.whole === true && !last.made)) {
    return 'That was no whole stroke: its switches were not both seen.';
  }
  if (last.ms < ask.leastMs) {
    return `That was no whole stroke: ${String(Math.round(last.ms))} ms is less than half of travelMs. Hold until the leaf stands.`;
  }
  // Without switches a second stroke the same way may have begun anywhere: at the end, even.
  if (last.direction === way) return `Send ${ask.leaf} the other way: strokes go there and back.`;
  const volts = ask.battery?.read === true ? last.leastVolts : undefined;
  if (volts === null) return 'The battery is not being read: look at its input first.';
  taken.set(ask.leaf, last.number);
  const value = [...so, Math.round(last.ms)];
  const inTime = value.length >= ask.count && value.every((ms) => ms <= ask.mostMs);
  const found = { ok: inTime, value, way: last.direction };
  if (volts === undefined || ask.battery === undefined) return found;
  const near = Math.abs(volts - ask.battery.volts) <= NEAR_VOLTS + 1e-9;
  return { ...found, ok: inTime && near, volts };
}
