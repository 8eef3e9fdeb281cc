import type { DecodedReading } from '../config/frames/decode.ts';

export interface TimedReading extends DecodedReading {
  /** When its last byte was handed over, ms. */
  t: number;
}

/** A weight that stood in a frame, kg; `motion` where the frame tells. */
export interface TimedWeight {
  t: number;
  kg: number;
  motion?: boolean;
}

interface Steady {
  /** Null where nothing was steady. */
  kg: number | null;
  /** Frames are missing where a later weight may have come to rest. */
  unclear: boolean;
}

/**
 * The last steady weight, kg: by the head's own mark where it has one, else the last one with
 * everything of the second before it within one division.
 *
 * @param stepKg the division; null: the smallest step that was seen
 */
export function lastSteady(
  weights: readonly TimedWeight[],
  periodMs: number,
  stepKg: number | null,
): Steady {
  if (weights.some(({ motion }) => motion !== undefined)) {
    const last = weights.findLast(({ motion }) => motion === false);
    return { kg: last?.kg ?? null, unclear: false };
  }
  const step = (stepKg ?? smallestStep(weights.map(({ kg }) => kg))) * 1.01;
  const count = Math.max(2, Math.round(1000 / periodMs));
  const unclear: number[] = [];
  for (let i = weights.length - 1; i >= 0; i--) {
    const last = weights[i];
    const since = (last?.t ?? 0) - (count - 0.5) * periodMs;
    if (!last || (weights[0]?.t ?? 0) > since + periodMs) break;
    const near = weights.slice(Math.max(0, i - count), i + 1).filter(({ t }) => t >= since);
    const values = near.map(({ kg }) => kg);
    if (Math.max(...values) - Math.min(...values) > step) continue;
    if (near.length >= count - Math.floor(count / 6))
      return { kg: last.kg, unclear: unclear.some((kg) => Math.abs(kg - last.kg) > step) };
    if (near.length >= Math.max(2, count * 0.6)) unclear.push(last.kg);
  }
  return { kg: null, unclear: unclear.length > 0 };
}

function smallestStep(values: readonly number[]): number {
  const sorted = [...new Set(values)].sort((a, b) => a - b);
  const steps = sorted.slice(1).map((value, i) => value - (sorted[i] ?? 0));
  return steps.length === 0 ? 0 : Math.min(...steps);
}
