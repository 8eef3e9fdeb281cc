import type Database from 'better-sqlite3';
import type { BookRow, DayBook } from './day-book.ts';
import { dayGains, type AnimalGain } from './gain.ts';
import { averageable, counted } from './lots.ts';
import { range } from './schema.ts';

/** Who wants looking at this evening. */
export interface FirstScreen {
  head: number;
  /** Tags seen on the last day of the same farms before, and not on this one. */
  missing: { lastDay: string | null; tags: string[] };
  lostWeight: AnimalGain[];
  /** The tenth with the least gain, of ten animals or more. */
  slowest: AnimalGain[];
  /** Within 1 kg below the cut to the next lot: ready soonest. */
  nearlyThere: BookRow[];
  inWithdrawal: BookRow[];
  byHand: BookRow[];
  letOutEarly: BookRow[];
  notSure: BookRow[];
  gains: AnimalGain[];
}

const NEAR_KG = 1;

/** The facts of the day's first screen, from the rows that every other print has too. */
export function firstScreen(db: Database.Database, book: DayBook): FirstScreen {
  const rows = counted(book);
  const gains = dayGains(db, book).sort((a, b) => a.gain.gramsADay - b.gain.gramsADay);
  return {
    head: rows.length,
    missing: missing(db, book),
    lostWeight: gains.filter(({ gain }) => gain.gramsADay < 0),
    slowest: gains.slice(0, Math.floor(gains.length / 10)),
    nearlyThere: rows.filter((row) => isNearlyThere(book, row)),
    inWithdrawal: rows.filter((row) => row.rule === 'withdrawal'),
    byHand: rows.filter((row) => row.rule === 'by-hand'),
    letOutEarly: rows.filter((row) => row.flags.includes('let-out-early')),
    notSure: rows.filter((row) => row.unsure),
    gains,
  };
}

function isNearlyThere(book: DayBook, row: BookRow): boolean {
  const kg = averageable(book, row);
  const cuts = book.sessions.find(({ id }) => id === row.session)?.cutsKg ?? [];
  return kg !== null && cuts.some((cut) => kg < cut && kg >= cut - NEAR_KG);
}

function missing(db: Database.Database, book: DayBook): FirstScreen['missing'] {
  const farms = [...new Set(book.sessions.map(({ farm }) => farm))];
  const seen = new Set(book.rows.map(({ tag }) => tag));
  const lasts = farms.map((farm) => lastTags(db, book.day, farm));
  const tags = [...new Set(lasts.flatMap((last) => last.tags))].filter((tag) => !seen.has(tag));
  const lastDay = lasts
    .map(({ day }) => day)
    .reduce((a, b) => ((a ?? '') > (b ?? '') ? a : b), null);
  return { lastDay, tags: tags.sort() };
}

function lastTags(
  db: Database.Database,
  before: string,
  farm: string | null,
): { day: string | null; tags: string[] } {
  const day = db.prepare(LAST_DAY).pluck().get({ before, farm }) as string | null;
  if (day === null) return { day, tags: [] };
  return { day, tags: db.prepare(TAGS).pluck().all({ day, farm }) as string[] };
}

const LAST_DAY = `
  SELECT max(d.day) FROM session_day d JOIN session s ON s.n = d.session
  WHERE d.day < @before AND s.farm IS @farm`;

const TAGS = `
  SELECT DISTINCT c.tag
  FROM session_day d JOIN session s ON s.n = d.session
    CROSS JOIN crossing c ON c.id BETWEEN ${range('d.session')} AND c.day = d.day
  WHERE d.day = @day AND s.farm IS @farm AND c.tag IS NOT NULL`;
