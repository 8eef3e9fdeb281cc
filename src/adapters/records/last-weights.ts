import type Database from 'better-sqlite3';
import type { LastWeight } from './messages.ts';

/** A weight older than this is no use for a daily gain, ms. */
const REACH_MS = 400 * 86_400_000;

/** The last sure weight of every tag seen in the 400 days before the newest crossing. */
export function lastWeights(db: Database.Database): LastWeight[] {
  const newest = db.prepare('SELECT max(day) AS day FROM crossing').get() as { day: string | null };
  if (newest.day === null) return [];
  const since = new Date(Date.parse(newest.day) - REACH_MS).toISOString().slice(0, 10);
  return db
    .prepare(
      `SELECT tag, recorded_kg AS kg, max(at_ms) AS atMs FROM crossing
       WHERE day >= ? AND tag IS NOT NULL AND recorded_kg IS NOT NULL AND unsure = 0 GROUP BY tag`,
    )
    .all(since) as LastWeight[];
}
