/** What was found at a fitting, what is open, and whether it is signed. Plain JSON, kept in the site. */
import type { Direction } from '../core/interlock/gate.ts';
import { NEW_YARD, type Item, type MarkId, type Step, type StepId } from './steps.ts';

export type Value = number | boolean | string | (number | null)[];

/** What was found of one item, right or not. */
export interface Result {
  ok: boolean;
  value: Value;
  who: string;
  /** UTC ms; `clockSet` false: nobody knew the time. */
  atMs: number;
  clockSet: boolean;
  /** Hash of the settings that it holds for; null where it depends on none. */
  mark: string | null;
  /** Which way the last stroke went, of an item that takes strokes. */
  way?: Direction | undefined;
  /** The lowest voltage in it, where the item asks for one and it is read. */
  volts?: number | undefined;
}

export type Marks = Record<MarkId, string>;

export interface Signature {
  who: string;
  atMs: number;
  clockSet: boolean;
  marks: Marks;
  /** Items that were not done then. */
  open: string[];
  /** Items whose result is another since. Told by name, not by time: the clock may have been wrong. */
  since?: string[] | undefined;
}

export interface FittingState {
  fitting: 1;
  results: Record<string, Result>;
  signed: Signature | null;
  /** The set stands in another yard since then. */
  yard: { place: string; who: string; atMs: number } | null;
  /** Starts of the machine that were watched. */
  boots: string[];
}

export const NOTHING_DONE: FittingState = {
  fitting: 1,
  results: {},
  signed: null,
  yard: null,
  boots: [],
};

/** What stands of an item: `stale` where the settings that it held for have changed. */
export type Standing = 'open' | 'wrong' | 'stale' | 'done';

export function standing(item: Item, step: Step, state: FittingState, marks: Marks): Standing {
  const result = state.results[item.id];
  if (result === undefined) return 'open';
  if (step.mark !== null && result.mark !== marks[step.mark]) return 'stale';
  if (result.ok) return 'done';
  const { value } = result;
  return Array.isArray(value) && value.length < countOf(item) ? 'open' : 'wrong';
}

/** Figures that an item takes one after another. */
function countOf({ ask }: Item): number {
  return ask.kind === 'travel' || ask.kind === 'reboots' ? ask.count : 0;
}

export function openItems(step: Step, state: FittingState, marks: Marks): Item[] {
  return step.items.filter((item) => standing(item, step, state, marks) !== 'done');
}

/** Steps without which the race does not start: safety steps that are open. */
export function openSafety(steps: Step[], state: FittingState, marks: Marks): StepId[] {
  return steps
    .filter((step) => step.safety && openItems(step, state, marks).length > 0)
    .map(({ id }) => id);
}

/** The drop-out was measured, with the settings as they are. */
export function dropOutProved(steps: Step[], state: FittingState, marks: Marks): boolean {
  return steps.some((step) =>
    step.items.some(
      (item) => item.id === 'drop-out' && standing(item, step, state, marks) === 'done',
    ),
  );
}

/** Signed for the settings as they are now, and for every result that stands. */
export function isSigned({ signed }: FittingState, marks: Marks): boolean {
  if (signed === null || signed.since !== undefined) return false;
  return signed.marks.gate === marks.gate && signed.marks.inputs === marks.inputs;
}

const NAMES: Record<StepId, string> = {
  supply: '1 supply',
  head: '2 weigh head',
  scale: '3 scale',
  contacts: '4 contacts',
  leaves: '5 leaves',
  exits: '6 exits',
  stop: '7 stop',
  hands: '8 hands and gaps',
  reboots: '9 reboots',
  dry: '10 dry runs',
  yard: 'new yard',
};

/** Why the race does not start, one name each; empty where it may. */
export function notFitted(steps: Step[], state: FittingState, marks: Marks): string[] {
  const open = openSafety(steps, state, marks).map((id) => NAMES[id]);
  return open.length > 0 || isSigned(state, marks) ? open : ['signature'];
}

/** With a result put in, or an item opened again. */
export function withResult(state: FittingState, id: string, result: Result | null): FittingState {
  const kept = Object.entries(state.results).filter(([one]) => one !== id);
  const results = Object.fromEntries(result === null ? kept : [...kept, [id, result]]);
  const { signed } = state;
  if (signed === null || isAfterSigning(id)) return { ...state, results };
  const since = [...new Set([...(signed.since ?? []), id])];
  return { ...state, results, signed: { ...signed, since } };
}

/** The race has to start for the dry runs, and a new yard is no new fitting: both come after the signature. */
function isAfterSigning(id: string): boolean {
  return id === 'dry-runs' || id.startsWith(NEW_YARD);
}

/** The set stands in another yard: the short step begins anew. */
export function withYard(state: FittingState, yard: FittingState['yard']): FittingState {
  const kept = Object.entries(state.results).filter(([id]) => !id.startsWith(NEW_YARD));
  return { ...state, yard, results: Object.fromEntries(kept) };
}
