/** When a load moves, by the readings themselves: what a head's motion mark is compared with. */
import type { Row } from './number.ts';
import { periodOf } from './split.ts';

/** For each row whether it is so; null where the rows do not tell. */
export type Labels = readonly (boolean | null)[];

/** How long a head looks back; the first is the usual one (common practice, no source). */
const LOOKS_BACK_MS = [
  1000, 300, 400, 500, 600, 700, 800, 900, 950, 1050, 1100, 1250, 1500, 2000, 3000,
];
/** How many divisions the readings may then be apart; the first is the usual one. */
const APART = [1, 2, 3];

/**
 * One label a row for each rule that heads are known to use, the usual one first: in motion where the
 * last readings are more than some divisions apart.
 *
 * @param step smallest step of the digits
 */
export function movingBy(rows: readonly Row[], step: number): Labels[] {
  const period = periodOf(rows) ?? 1000;
  const places = placesOf(rows, period);
  const counts = LOOKS_BACK_MS.map((ms) => Math.max(2, Math.round(ms / Math.max(1, period))));
  const spikes = rows.map((_, i) => isSpike(rows, i, step));
  return [...new Set(counts)].flatMap((count) =>
    APART.map((apart) => labels(rows, places, spikes, { count, apart: apart * step })),
  );
}

/** Which reading since the first each row is; frames that were lost leave holes. */
function placesOf(rows: readonly Row[], period: number): number[] {
  let place = 0;
  return rows.map(({ t }, i) => {
    const before = rows[i - 1];
    if (before) place += Math.max(1, Math.round((t - before.t) / period));
    return place;
  });
}

function labels(
  rows: readonly Row[],
  places: readonly number[],
  spikes: readonly boolean[],
  { count, apart }: { count: number; apart: number },
): Labels {
  return rows.map((_, i) => {
    const place = places[i] ?? 0;
    let [least, most, seen] = [Infinity, -Infinity, 0];
    for (let j = i; j >= 0 && (places[j] ?? 0) > place - count; j--) {
      if (spikes[j]) continue;
      const { digits } = rows[j] ?? { digits: 0 };
      least = Math.min(least, digits);
      most = Math.max(most, digits);
      seen += 1;
    }
    if (most - least > apart * 1.001) return true;
    // A hole may hide a reading that was apart from the others.
    return seen === count ? false : null;
  });
}

/** A lone weight apart from both neighbours, which agree: a damaged frame. */
function isSpike(rows: readonly Row[], i: number, step: number): boolean {
  const [before, here, after] = [rows[i - 1], rows[i], rows[i + 1]];
  if (!before || !here || !after) return false;
  const apart = Math.min(
    Math.abs(here.digits - before.digits),
    Math.abs(here.digits - after.digits),
  );
  return (
    apart > 8 * step && Math.abs(before.digits - after.digits) <= Math.max(3 * step, apart / 8)
  );
}
