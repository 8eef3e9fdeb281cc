import { dayNumber, dayText } from '../../core/sortplan/days.ts';
import type { ReadyLine, Target } from '../evening.ts';
import type { DayBook } from './day-book.ts';
import type { AnimalGain } from './gain.ts';
import { averageable, counted, factsOf } from './lots.ts';

/** A date further off than this says nothing, days. */
const REACH = 730;

/**
 * Who has reached a weight, and when the others will at the gain that each has had. An animal of which
 * no gain is known is only counted.
 *
 * @param targetKg null: the lowest cut of the plans that decided that day; null is given back where there is none.
 */
export function targetOf(
  book: DayBook,
  gains: readonly AnimalGain[],
  targetKg: number | null,
): Target | null {
  const cuts = book.rows.flatMap((row) => factsOf(book, row)?.cutsKg ?? []);
  const kg = targetKg ?? (cuts.length === 0 ? null : Math.min(...cuts));
  if (kg === null) return null;
  const weights = counted(book).map((row) => averageable(book, row));
  const there = weights.filter((one) => one !== null && one >= kg).length;
  const below = weights.filter((one) => one !== null && one < kg).length;
  const coming = gains
    .filter(({ row }) => (averageable(book, row) ?? kg) < kg)
    .map((one) => ready(book.day, one, kg))
    .sort((a, b) => order(a).localeCompare(order(b)));
  return { kg, there, unknown: below - coming.length, coming };
}

/** Those that never get there last. */
function order({ day, kg }: ReadyLine): string {
  return `${day ?? '9999'} ${String(1000 - kg)}`;
}

/**
 * (target - weight) / gain days from now. The earliest and latest day take the ends of both 95 %
 * intervals together, which is a little wider than 95 %, since the last weight is in both.
 */
function ready(today: string, { tag, row, gain }: AnimalGain, targetKg: number): ReadyLine {
  const kg = row.recordedKg ?? 0;
  const u = row.uncertaintyKg ?? 0;
  const at = (missingKg: number, gramsADay: number): string | null => {
    if (missingKg <= 0) return today;
    const days = Math.ceil((1000 * missingKg) / gramsADay);
    const from = dayNumber(today);
    return gramsADay <= 0 || days > REACH || from === null ? null : dayText(from + days);
  };
  return {
    tag,
    animal: row.animal,
    session: row.session,
    kg,
    gramsADay: gain.gramsADay,
    day: at(targetKg - kg, gain.gramsADay),
    earliest: at(targetKg - kg - u, gain.gramsADay + gain.uncertainty),
    latest: at(targetKg - kg + u, gain.gramsADay - gain.uncertainty),
  };
}
