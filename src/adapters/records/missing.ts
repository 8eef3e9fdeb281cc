import type Database from 'better-sqlite3';
import type { Evening } from '../evening.ts';
import { readDay, type BookSession, type DayBook } from './day-book.ts';
import { counted, factsOf } from './lots.ts';

type Mob = Pick<BookSession, 'farm' | 'mob'>;

/**
 * Who was here on the mob's last day before and is not here today, as both days were put right. Where no
 * mob is named the farm's last day counts. Whom a lot for slaughter took then is not expected.
 */
export function missingOf(db: Database.Database, book: DayBook): Evening['look']['missing'] {
  const seen = new Set(book.rows.map(({ tag }) => tag));
  const byDay = new Map<string, Set<string>>();
  for (const mob of mobsOf(book.sessions)) {
    const day = db
      .prepare(LAST_DAY)
      .pluck()
      .get({ ...mob, before: book.day }) as string | null;
    if (day === null) continue;
    const tags = byDay.get(day) ?? new Set<string>();
    byDay.set(day, tags);
    for (const tag of leftWith(db, day, mob)) if (!seen.has(tag)) tags.add(tag);
  }
  return [...byDay]
    .filter(([, tags]) => tags.size > 0)
    .map(([lastDay, tags]) => ({ lastDay, tags: [...tags].sort() }))
    .sort((a, b) => b.lastDay.localeCompare(a.lastDay));
}

/** Each once. */
function mobsOf(sessions: readonly BookSession[]): Mob[] {
  const keys = sessions.map(({ farm, mob }) => JSON.stringify({ farm, mob }));
  return [...new Set(keys)].map((key) => JSON.parse(key) as Mob);
}

/** Tags of the mob that counted on that day and that no lot for slaughter took. */
function leftWith(db: Database.Database, day: string, { farm, mob }: Mob): string[] {
  const book = readDay(db, day, farm ?? '');
  if (book === null) return [];
  const sessions = book.sessions.filter((session) => mob === null || session.mob === mob);
  const ids = new Set(sessions.map(({ id }) => id));
  return counted(book).flatMap((row) => {
    const gone = factsOf(book, row)?.slaughter.includes(row.lot ?? '') === true;
    return row.tag === null || gone || !ids.has(row.session) ? [] : [row.tag];
  });
}

const LAST_DAY = `
  SELECT max(d.day) FROM session_day d JOIN session s ON s.n = d.session
  WHERE d.day < @before AND s.farm IS @farm AND (@mob IS NULL OR s.mob = @mob)`;
