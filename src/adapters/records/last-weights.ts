import type Database from 'better-sqlite3';
import type { LastWeight } from './messages.ts';
import { range } from './schema.ts';

/** A weight older than this is no use for a daily gain, ms. */
const REACH_MS = 400 * 86_400_000;

/** The last sure weight of every tag seen in the 400 days before the newest crossing. */
export function lastWeights(db: Database.Database): LastWeight[] {
  const newest = db.prepare('SELECT max(day) AS day FROM session_day').get() as {
    day: string | null;
  };
  if (newest.day === null) return [];
  const since = new Date(Date.parse(newest.day) - REACH_MS).toISOString().slice(0, 10);
  return db
    .prepare(
      `SELECT c.tag, c.recorded_kg AS kg, max(c.at_ms) AS atMs
       FROM (SELECT DISTINCT session AS n FROM session_day WHERE day >= ?) s
         CROSS JOIN crossing c ON c.id BETWEEN ${range('s.n')}
       WHERE c.tag IS NOT NULL AND c.recorded_kg IS NOT NULL AND c.unsure = 0 GROUP BY c.tag`,
    )
    .all(since) as LastWeight[];
}
