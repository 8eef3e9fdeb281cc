/**
 * The readings of one load, in blocks: one reading each up to 12 readings a second, more beyond,
 * so that a block is about a tenth of a second and the work a second does not grow with the rate.
 * Bounded; holds no times, only counts of blocks.
 */
export interface Window {
  /** Mean of each block, kg, zero not yet subtracted, oldest first. */
  mean: number[];
  /** Least and greatest reading of each block, kg. */
  low: number[];
  high: number[];
  /** Blocks from the one before to this one: 1, more where readings were lost. */
  step: number[];
  /** The block being filled: sum, count, least, greatest. */
  part: { sum: number; count: number; low: number; high: number };
  /** Blocks lost before the block being filled. */
  lost: number;
}

/** Blocks kept; about six seconds at ten a second. */
export const WINDOW_BLOCKS = 64;

/** Readings that make one block at this rate. */
export function readingsPerBlock(rateHz: number): number {
  return Math.max(1, Math.round(rateHz / 10));
}

/** An empty window. */
export function emptyWindow(): Window {
  return { mean: [], low: [], high: [], step: [], part: emptyPart(), lost: 0 };
}

function emptyPart(): Window['part'] {
  return { sum: 0, count: 0, low: 0, high: 0 };
}

/**
 * Adds one reading.
 * @param kg the reading, kg.
 * @param steps readings since the one before: 1, more where readings were lost.
 * @returns the new window and whether a block was completed by it.
 */
export function addReading(
  window: Window,
  kg: number,
  steps: number,
  perBlock: number,
  capacity = WINDOW_BLOCKS,
): { window: Window; full: boolean } {
  const { part } = window;
  const lost = window.lost + (window.mean.length > 0 ? Math.floor((steps - 1) / perBlock) : 0);
  const next = {
    sum: part.sum + kg,
    count: part.count + 1,
    low: part.count === 0 ? kg : Math.min(part.low, kg),
    high: part.count === 0 ? kg : Math.max(part.high, kg),
  };
  const { mean, low, high, step } = window;
  if (next.count < perBlock) {
    return { window: { mean, low, high, step, part: next, lost }, full: false };
  }
  const from = Math.max(0, mean.length + 1 - capacity);
  return {
    window: {
      mean: withLast(mean, from, next.sum / next.count),
      low: withLast(low, from, next.low),
      high: withLast(high, from, next.high),
      step: withLast(step, from, 1 + lost),
      part: emptyPart(),
      lost: 0,
    },
    full: true,
  };
}

function withLast(values: readonly number[], from: number, last: number): number[] {
  const copy = values.slice(from);
  copy.push(last);
  return copy;
}

/**
 * The settle rule: all readings of the latest `blocks` blocks (and of the block being filled)
 * within a band.
 * @returns false also while there are not yet so many blocks, or readings were lost among them.
 */
export function withinBand(window: Window, blocks: number, bandKg: number): boolean {
  const n = window.mean.length;
  if (n < blocks) return false;
  let low = window.part.count > 0 ? window.part.low : Infinity;
  let high = window.part.count > 0 ? window.part.high : -Infinity;
  for (let i = n - blocks; i < n; i += 1) {
    low = Math.min(low, window.low[i] ?? low);
    high = Math.max(high, window.high[i] ?? high);
  }
  return high - low <= bandKg + 1e-9;
}
