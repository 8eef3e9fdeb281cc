/** Whether what a person says of an item is right. Null: it is no answer to that item. */
import { checkWeight } from '../core/weighing/check-weight.ts';
import type { Ask, Limit } from './steps.ts';
import type { Value } from './state.ts';

/** Said of a gap that a cover or a fence makes good. */
export const COVERED = 'covered';
/** Said where no live fence stands near. */
export const NO_FENCE = 'none';
/** Said of a leaf that did not move. */
export const STILL = 'still';

export function within(value: number, { least, most, orMost }: Limit): boolean {
  if (orMost !== undefined && value >= 0 && value <= orMost) return true;
  if (least !== undefined && value < least) return false;
  return most === undefined || value <= most;
}

/** Right, wrong, or null where the answer has not the form that is asked for. */
export function judge(ask: Ask, value: Value): boolean | null {
  switch (ask.kind) {
    case 'yes':
      return typeof value === 'boolean' ? value : null;
    case 'words':
      return typeof value === 'string' && value.trim() !== '' ? true : null;
    case 'direction':
      return isOneOf(value, ['extended', 'retracted', STILL]) ? value === ask.end : null;
    case 'exit':
      return typeof value === 'string' ? value === ask.exit : null;
    case 'quiet':
      return value === NO_FENCE ? true : null;
    case 'figure':
      return judgeFigures(ask, value);
    case 'mass':
      return judgeMass(ask, value);
    // What is measured, nobody can say.
    case 'input':
    case 'travel':
    case 'stopped':
    case 'drop-out':
    case 'readings':
    case 'zero':
    case 'reboots':
      return null;
  }
}

const isOneOf = (value: Value, known: readonly string[]): boolean =>
  typeof value === 'string' && known.includes(value);

function judgeFigures(ask: Extract<Ask, { kind: 'figure' }>, value: Value): boolean | null {
  if (value === COVERED) return ask.orCovered ? true : null;
  const figures = numbers(value);
  if (figures?.length !== ask.count) return null;
  if (figures.some((one) => one < 0)) return null;
  const counts = ask.mean ? [figures.reduce((sum, one) => sum + one, 0) / ask.count] : figures;
  return counts.every((one) => within(one, ask.limit));
}

/** The mass, the reading in the middle, then the corners. */
function judgeMass(ask: Extract<Ask, { kind: 'mass' }>, value: Value): boolean | null {
  const [massKg, middleKg, ...cornersKg] = numbers(value) ?? [];
  if (massKg === undefined || middleKg === undefined || massKg <= 0) return null;
  if (cornersKg.length !== ask.corners) return null;
  const check = { massKg, middleKg, cornersKg, lastErrorKg: null };
  const found = checkWeight(ask.maxKg, ask.divisionKg, check);
  return found.within === true && !found.tooLight;
}

function numbers(value: Value): number[] | null {
  if (!Array.isArray(value)) return null;
  const known = value.filter((one) => one !== null && Number.isFinite(one));
  return known.length === value.length ? (known as number[]) : null;
}
