import { exp } from '../normal.ts';
import type { Window } from './window.ts';

/** Blocks looked at for standing still. */
const RECENT_BLOCKS = 20;

/**
 * Variance that rounding leaves in a mean, kg squared: all of d^2 / 12 where the readings stand
 * still, next to nothing where they move by a division (the bias of a rounded normal variable has
 * the amplitude d / pi times exp(-2 pi^2 (s / d)^2); B. Widrow's quantising theorem).
 */
export function roundingVariance(divisionKg: number, scatterKg: number): number {
  const ratio = scatterKg / divisionKg;
  return ((divisionKg * divisionKg) / 12) * exp(-39.48 * ratio * ratio);
}

/**
 * Variance that rounding leaves in the mean of a load, kg squared: as above, by the share of
 * blocks that repeat the one before. An animal that was wild at first and then stands like a rock
 * has a large scatter and is rounded all the same.
 */
export function roundingOfWindow(divisionKg: number, window: Window, blocks: number): number {
  const { low, high } = window;
  const n = low.length;
  const from = Math.max(1, n - Math.min(blocks - 1, RECENT_BLOCKS));
  if (from >= n) return (divisionKg * divisionKg) / 12;
  let still = 0;
  for (let i = from; i < n; i += 1) {
    const greatest = Math.max(high[i] ?? 0, high[i - 1] ?? 0);
    const least = Math.min(low[i] ?? 0, low[i - 1] ?? 0);
    if (greatest - least < 0.5 * divisionKg) still += 1;
  }
  const share = Math.max(0, (2 * still) / (n - from) - 1);
  return ((divisionKg * divisionKg) / 12) * share * share;
}
