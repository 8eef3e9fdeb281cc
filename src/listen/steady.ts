import type { DecodedReading } from '../config/frames/decode.ts';

export interface TimedReading extends DecodedReading {
  /** When its last byte was handed over, ms. */
  t: number;
}

/**
 * The last steady weight, kg: by the head's own mark where it has one, else the last reading with
 * everything of the second before it within one division. Null where nothing was steady.
 */
export function lastSteady(readings: readonly TimedReading[], periodMs: number): number | null {
  const weights = readings.filter(({ kg }) => kg !== null);
  if (weights.some(({ motion }) => motion !== undefined))
    return weights.findLast(({ motion }) => motion === false)?.kg ?? null;
  const values = weights.map(({ kg }) => kg ?? 0);
  const sorted = [...new Set(values)].sort((a, b) => a - b);
  const steps = sorted.slice(1).map((value, i) => value - (sorted[i] ?? 0));
  const step = steps.length === 0 ? 0 : Math.min(...steps);
  const span = Math.max(1000, 1.5 * periodMs);
  for (let i = weights.length - 1; i > 0; i--) {
    const until = weights[i]?.t ?? 0;
    if (until - (weights[0]?.t ?? 0) < span * 0.9) break;
    const near = values.filter((_, j) => j <= i && (weights[j]?.t ?? 0) > until - span);
    if (near.length > 1 && Math.max(...near) - Math.min(...near) <= step * 1.01)
      return values[i] ?? null;
  }
  return null;
}
