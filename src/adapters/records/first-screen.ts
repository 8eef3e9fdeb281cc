import type Database from 'better-sqlite3';
import { dayNumber, dayText } from '../../core/sortplan/days.ts';
import { freeDay } from '../../core/sortplan/withdrawal.ts';
import type { Evening } from '../evening.ts';
import type { BookRow, DayBook } from './day-book.ts';
import type { AnimalGain } from './gain.ts';
import { gainLine, lineOf } from './lines.ts';
import { missingOf } from './missing.ts';
import { averageable, counted, factsOf, wentWrongWay } from './lots.ts';

const NEAR_KG = 1;

/** Who wants looking at this evening, from the rows that every other print has too. */
export function firstScreen(
  db: Database.Database,
  book: DayBook,
  gains: readonly AnimalGain[],
): Evening['look'] {
  const rows = counted(book);
  const slowestFirst = gains.toSorted((a, b) => a.gain.gramsADay - b.gain.gramsADay);
  const where = (is: (row: BookRow) => boolean) => rows.filter(is).map(lineOf);
  return {
    missing: missingOf(db, book),
    lostWeight: slowestFirst.filter(({ gain }) => gain.gramsADay < 0).map(gainLine),
    slowest: slowestFirst.slice(0, Math.floor(gains.length / 10)).map(gainLine),
    nearlyThere: where((row) => isNearlyThere(book, row)),
    held: rows.filter(isHeld).map((row) => ({ ...lineOf(row), freeOn: freeOn(row) })),
    byHand: where((row) => row.rule === 'by-hand'),
    letOutEarly: where((row) => row.flags.includes('let-out-early')),
    openedEarly: where((row) => row.flags.includes('opened-early')),
    wrongWay: where(wentWrongWay),
    notSure: where((row) => row.unsure),
  };
}

function isNearlyThere(book: DayBook, row: BookRow): boolean {
  const kg = averageable(book, row);
  const cuts = factsOf(book, row)?.cutsKg ?? [];
  return kg !== null && cuts.some((cut) => kg < cut && kg >= cut - NEAR_KG);
}

/** In withdrawal when it came, or given something today that has a period, or may have one. */
export function isHeld(row: BookRow): boolean {
  const { given } = row;
  return cameHeld(row) || (given !== null && given.ml !== 0 && given.days !== 0);
}

/** Rows of before the flag know it only where that rule decided. */
function cameHeld({ rule, flags }: BookRow): boolean {
  return flags.includes('in-withdrawal') || rule === 'withdrawal';
}

/** The first free day that was known when it came. */
function freeBefore({ flags, reason }: BookRow): string | null {
  if (!flags.includes('in-withdrawal'))
    return /free on (\d{4}-\d{2}-\d{2})/.exec(reason ?? '')?.[1] ?? null;
  return flags.find((flag) => flag.startsWith(FREE_ON))?.slice(FREE_ON.length) ?? null;
}

const FREE_ON = 'free-on-';

/**
 * First free day: of what it was given today by the label, else as the rule had it then. Off the label
 * the period is the vet's to say, and the day is not known here.
 */
export function freeOn(row: BookRow): string | null {
  const { day, given } = row;
  const before = freeBefore(row);
  if (given === null || given.ml === 0) return before;
  const today = dayNumber(day);
  if (given.days === null || given.use !== 'label' || today === null) return null;
  if (cameHeld(row) && before === null) return null;
  const free = dayText(freeDay(today, given.days));
  return before !== null && before > free ? before : free;
}
