import type Database from 'better-sqlite3';
import type { Book, Unanswered } from '../evening.ts';
import { animalsEnding } from './animal.ts';
import { checkWords, readChecks } from './check-weights.ts';
import { bookCsv } from './csv.ts';
import type { DayBook } from './day-book.ts';
import { readEvening, readOneFarm } from './evening.ts';
import { bookIcar } from './icar.ts';
import { linesOf } from './lines.ts';
import { lotSheet } from './lot-sheet.ts';
import { pastFaults } from './past-faults.ts';
import { openForReading } from './reader.ts';

/**
 * The day book of a site for the page's thread: opened for looking only, at each question, so that it
 * is found again after a restore and holds nothing back between.
 */
export function openBook(siteDir: string): Book {
  const look = <T>(work: (db: Database.Database) => T): T => {
    const db = openForReading(siteDir);
    try {
      // One moment of the day book, whatever is written meanwhile.
      return db.transaction(() => work(db))();
    } finally {
      db.close();
    }
  };
  const ofOneFarm = <T>(
    day: string | null,
    farm: string | null,
    work: (book: DayBook) => T | Unanswered,
  ): T | Unanswered =>
    look((db) => {
      const book = readOneFarm(db, day, farm);
      if (book === null) return { refused: 'No crossings on that day.' };
      if ('farms' in book) return { refused: 'Choose one farm: nothing is printed across farms.' };
      return work(book);
    });
  return {
    days: () => look(daysWithCrossings),
    evening: (ask) => look((db) => readEvening(db, ask)),
    lines: (day, farm) => {
      const lines = ofOneFarm(day, farm, linesOf);
      return 'refused' in lines ? [] : lines;
    },
    animals: (lastDigits, farm) => look((db) => animalsEnding(db, lastDigits, farm)),
    csv: (day, farm, style) => ofOneFarm(day, farm, (book) => bookCsv(book, style)),
    icar: (day, farm) => ofOneFarm(day, farm, (book) => bookIcar(book, Date.now())),
    sheet: (ask) => ofOneFarm(ask.day, ask.farm, (book) => lotSheet(book, ask)),
    faults: (days) => look((db) => pastFaults(db, days)),
    checks: (most) =>
      look((db) =>
        readChecks(db, null, most).map((one) => {
          return { day: one.day, time: one.time, words: checkWords(one) };
        }),
      ),
  };
}

const MOST_DAYS = 400;

function daysWithCrossings(db: Database.Database): { day: string; farms: string[] }[] {
  const found = db.prepare(DAYS).all(MOST_DAYS) as { day: string; farms: string }[];
  return found.map(({ day, farms }) => ({ day, farms: (JSON.parse(farms) as string[]).sort() }));
}

const DAYS = `
  SELECT d.day, json_group_array(DISTINCT coalesce(s.farm, '')) AS farms
  FROM session_day d JOIN session s ON s.n = d.session
  GROUP BY d.day ORDER BY d.day DESC LIMIT ?`;
