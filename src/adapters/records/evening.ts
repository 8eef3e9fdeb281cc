import type Database from 'better-sqlite3';
import type { Evening, EveningAsk, EveningSession, LotLine, ManyFarms } from '../evening.ts';
import { daysOf } from './day.ts';
import { readDay, type BookSession, type DayBook } from './day-book.ts';
import { firstScreen } from './first-screen.ts';
import { dayGains, flockGain } from './gain.ts';
import { givenLines } from './given.ts';
import { gainLine } from './lines.ts';
import { carcassKg, counted, factsOf, groups, lotSummaries, penCounts, seenTwice } from './lots.ts';
import { paceOf } from './pace.ts';
import { targetOf } from './target.ts';

/** The sessions of one farm on one day, or the names of the farms to choose from. */
export function readOneFarm(
  db: Database.Database,
  day: string | null,
  farm: string | null,
): DayBook | ManyFarms | null {
  const book = readDay(db, day, farm ?? undefined);
  if (book === null) return null;
  const farms = [...new Set(book.sessions.map((session) => session.farm ?? ''))];
  return farms.length > 1 ? { day: book.day, farms } : book;
}

/** Everything that a day comes to; null where it has no crossings. */
export function readEvening(db: Database.Database, ask: EveningAsk): Evening | ManyFarms | null {
  const book = readOneFarm(db, ask.day, ask.farm);
  return book === null || 'farms' in book ? book : eveningOf(db, book, ask);
}

/** The same from rows that have been read already. */
export function eveningOf(
  db: Database.Database,
  book: DayBook,
  { killingOut, targetKg }: Pick<EveningAsk, 'killingOut' | 'targetKg'>,
): Evening {
  const gains = dayGains(db, book);
  return {
    day: book.day,
    zone: book.zone,
    farm: book.sessions[0]?.farm ?? null,
    sessions: book.sessions.map((session) => sessionOf(book, session)),
    head: headOf(book),
    look: firstScreen(db, book, gains),
    lots: lotLines(book, killingOut),
    given: givenLines(book),
    flock: flockGain(gains),
    gains: gains.map(gainLine),
    target: targetOf(book, gains, targetKg),
    pace: paceOf(db, book),
  };
}

/** Head and weights of each lot, with the carcass that the farmer's killing-out per cent makes of it. */
export function lotLines(book: DayBook, killingOut: number | null): LotLine[] {
  return lotSummaries(book).map((lot) => {
    const { weights } = lot;
    if (weights === null || killingOut === null) return { ...lot, carcass: null };
    const of = (kg: number): number => carcassKg(kg, killingOut);
    return { ...lot, carcass: { meanKg: of(weights.mean), totalKg: of(weights.total) } };
  });
}

function headOf(book: DayBook): Evening['head'] {
  const left = book.rows.filter((row) => row.notCounted !== null);
  return {
    through: book.rows.length,
    counted: counted(book).length,
    notCounted: groups(left, (row) => row.notCounted ?? '').map(([why, rows]) => ({
      why,
      head: rows.length,
    })),
    twice: seenTwice(counted(book)),
    pens: penCounts(book),
  };
}

function sessionOf(book: DayBook, session: BookSession): EveningSession {
  const { id, holding, flockMark, mob, field, hoursOffFeed, fleece, who, planName } = session;
  const rows = book.rows.filter((row) => row.session === id);
  const lots = [...new Set(rows.flatMap((row) => factsOf(book, row)?.lots ?? []))];
  const time = daysOf(book.zone).localTime(session.startedMs).slice(11, 16);
  return {
    id,
    time,
    plan: planName,
    lots,
    holding,
    flockMark,
    mob,
    field,
    hoursOffFeed,
    fleece,
    who,
  };
}
