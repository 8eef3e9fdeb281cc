import type Database from 'better-sqlite3';
import { readSession, type BookRow, type BookSession } from './day-book.ts';
import type { RaceTreatment } from './messages.ts';

/**
 * What animals were given at the race, for the rules of withdrawal. A dose without a tag, and one of
 * which nobody knows whether it was given, hold: the one its whole mob, the other the animal itself.
 */
export function raceTreatments(db: Database.Database): RaceTreatment[] {
  const ids = db.prepare(SESSIONS).pluck().all() as string[];
  return ids.flatMap((id) => {
    const read = readSession(db, id);
    return read === null ? [] : treatmentsOf(read.rows, read.session);
  });
}

// A treatment's period is at most 999 days as given, or half as long again off the label.
const SESSIONS = `
  SELECT id FROM session s WHERE n IN (SELECT session FROM given WHERE product IS NOT NULL)
    AND s.started_ms > (SELECT max(started_ms) FROM session) - ${1500 * 86_400_000} ORDER BY n`;

/** The same of one session. A day by a clock that was not set is unclear, and holds. */
export function treatmentsOf(
  rows: BookRow[],
  { id, mob, farm }: Pick<BookSession, 'id' | 'mob' | 'farm'>,
): RaceTreatment[] {
  const found = new Map<string, RaceTreatment>();
  for (const row of rows) {
    // One that counts no longer was in the crate all the same, and was given what it was given.
    if (row.given === null) continue;
    const { product, batch, use } = row.given;
    const days = row.clock === 'unset' ? null : row.given.days;
    const key = JSON.stringify([product, batch, days, use, row.day, row.tag === null]);
    const one = found.get(key) ?? {
      ...{
        product,
        batch,
        days,
        use,
        day: row.day,
        session: id,
        farm,
        mob,
        tags: [],
        colour: null,
      },
    };
    if (row.tag !== null) one.tags.push(row.tag);
    found.set(key, one);
  }
  return [...found.values()];
}
