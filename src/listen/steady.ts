import type { DecodedReading } from '../config/frames/decode.ts';

export interface TimedReading extends DecodedReading {
  /** When its last byte was handed over, ms. */
  t: number;
}

/**
 * The last steady weight, kg: by the head's own mark where it has one, else the last reading with
 * everything of the second before it within one division. Null where nothing was steady.
 *
 * @param stepKg the division; null: the smallest step that was seen
 */
export function lastSteady(
  readings: readonly TimedReading[],
  periodMs: number,
  stepKg: number | null,
): number | null {
  const weights = readings.filter(({ kg }) => kg !== null);
  if (weights.some(({ motion }) => motion !== undefined))
    return weights.findLast(({ motion }) => motion === false)?.kg ?? null;
  const values = weights.map(({ kg }) => kg ?? 0);
  const step = stepKg ?? smallestStep(values);
  const count = Math.max(2, Math.round(1000 / periodMs));
  for (let i = values.length - 1; i >= count - 1; i--) {
    const near = values.slice(i - count + 1, i + 1);
    if (Math.max(...near) - Math.min(...near) <= step * 1.01) return values[i] ?? null;
  }
  return null;
}

function smallestStep(values: readonly number[]): number {
  const sorted = [...new Set(values)].sort((a, b) => a - b);
  const steps = sorted.slice(1).map((value, i) => value - (sorted[i] ?? 0));
  return steps.length === 0 ? 0 : Math.min(...steps);
}
