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

/** So many readings show that a load stood, and not only that it hardly changed for a moment. */
const LASTING = 4;

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
 * @param damaged what damaged frames seem to have said; it may fill a hole, and proves nothing else
 */
export function lastSteady(
  all: readonly TimedWeight[],
  periodMs: number,
  stepKg: number | null,
  damaged: readonly TimedWeight[] = [],
): Steady {
  if (all.some(({ motion }) => motion !== undefined)) {
    const last = all.findLast(({ motion }) => motion === false);
    return { kg: last?.kg ?? null, unclear: false };
  }
  const step = (stepKg ?? smallestStep(all.map(({ kg }) => kg))) * 1.01;
  const count = Math.max(2, Math.round(1000 / periodMs));
  const weights = count < 4 ? all : all.filter((_, i) => !isSpike(all, i, step));
  const from = weights[0]?.t ?? 0;
  const far = (kg: number, other: number): boolean => Math.abs(kg - other) > step;
  const unclear: number[] = [];
  const proved = new Set(weights);
  for (const last of [...weights, ...damaged].sort((a, b) => b.t - a.t)) {
    const since = last.t - (count - 0.5) * periodMs;
    if (from > since + periodMs) break;
    const near = between(weights, since, last.t);
    if (spread(near) > step) continue;
    const fill = between(damaged, since, last.t).filter((one) => spread([...near, one]) <= step);
    const here = near.length + fill.length;
    const side = (count / 2 + 0.5) * periodMs;
    const round = between(weights, since - side, last.t + side);
    // A reading that was lost is hardly farther off than those long before and after it.
    const calm = spread(near) < step / 2 || spread(round) <= step;
    if (proved.has(last) && here >= count - (calm ? Math.floor(count / 5) : 0))
      return { kg: last.kg, unclear: unclear.filter((kg) => far(kg, last.kg)).length >= LASTING };
    if (here >= Math.min(count - 1, Math.max(2, count * 0.6))) unclear.push(last.kg);
  }
  return { kg: null, unclear: unclear.length > 0 };
}

/** A lone weight apart from both neighbours, which agree: a damaged figure. */
function isSpike(weights: readonly TimedWeight[], i: number, step: number): boolean {
  const [before, here, after] = [weights[i - 1], weights[i], weights[i + 1]];
  if (!before || !here || !after) return false;
  return spread([before, after]) <= 2 * step && Math.abs(here.kg - before.kg) > 8 * step;
}

function between(weights: readonly TimedWeight[], from: number, to: number): TimedWeight[] {
  return weights.filter(({ t }) => t >= from && t <= to);
}

function spread(weights: readonly TimedWeight[]): number {
  const values = weights.map(({ kg }) => kg);
  return Math.max(...values) - Math.min(...values);
}

function smallestStep(values: readonly number[]): number {
  const sorted = [...new Set(values)].sort((a, b) => a - b);
  const steps = sorted.slice(1).map((value, i) => value - (sorted[i] ?? 0));
  return steps.length === 0 ? 0 : Math.min(...steps);
}
