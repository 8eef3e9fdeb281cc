import type { GainLine, Line } from '../evening.ts';
import type { BookRow, DayBook } from './day-book.ts';
import type { AnimalGain } from './gain.ts';

/** A crossing as people are shown it. */
export function lineOf(row: BookRow): Line {
  return {
    session: row.session,
    animal: row.animal,
    time: row.localTime.slice(11),
    clock: row.clock,
    tag: row.tag,
    kg: row.recordedKg,
    uncertaintyKg: row.uncertaintyKg,
    lot: row.lot,
    exit: row.exit,
    pen: row.pen,
    rule: row.rule,
    reason: row.reason,
    unsure: row.unsure,
    flags: row.flags,
    marks: row.marks.map(({ name, value }) => `${name}: ${String(value)}`),
    notCounted: row.notCounted,
    corrections: row.corrections.map(({ kind, was, value, who }) => ({ kind, was, value, who })),
  };
}

/** Every crossing of the day, in the order of letting go. */
export function linesOf(book: DayBook): Line[] {
  return book.rows.map(lineOf);
}

/** A gain with the crossing that it ends with. */
export function gainLine({ row, from, gain }: AnimalGain): GainLine {
  return {
    ...lineOf(row),
    fromKg: from.kg,
    fromDay: from.day,
    fromList: from.list,
    days: gain.days,
    gramsADay: gain.gramsADay,
    uncertainty: gain.uncertainty,
    widened: gain.widened,
  };
}
