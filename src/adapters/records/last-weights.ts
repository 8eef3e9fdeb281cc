import type Database from 'better-sqlite3';
import { RIGHT_TAG, VOID } from './corrected.ts';
import type { LastWeight } from './messages.ts';
import { range } from './schema.ts';

/** A weight older than this is no use for a daily gain, ms. */
const REACH_MS = 400 * 86_400_000;

/**
 * The last sure weights of every tag on each farm in the 400 days before the newest crossing, of two days at the
 * most: an animal that comes again on the day of its last weight is compared with the one before.
 * The last word of a crossing counts: one that does not count is no weight to reckon from, and a tag that was put
 * right is the one that it belongs to.
 */
export function lastWeights(db: Database.Database): LastWeight[] {
  const newest = db
    .prepare(
      `SELECT max(day) FROM (SELECT max(day) AS day FROM session_day
         UNION ALL SELECT max(day) FROM earlier_weight)`,
    )
    .pluck()
    .get() as string | null;
  if (newest === null) return [];
  const since = new Date(Date.parse(newest) - REACH_MS).toISOString().slice(0, 10);
  return db.prepare(LAST).all({ since }) as LastWeight[];
}

/**
 * The plus keeps the planner from building an index over every crossing there is at each start: with a million of
 * them 19 to 23 s, without it 0.5 s.
 */
export const LAST = `
  WITH weight (tag, farm, day, kg, at_ms) AS (
    SELECT ${RIGHT_TAG} AS right_tag, s.farm, c.day, c.recorded_kg AS kg, max(c.at_ms) AS at_ms
    FROM (SELECT DISTINCT d.session AS n, o.farm FROM session_day d JOIN session o ON o.n = d.session
        WHERE d.day >= @since) s
      CROSS JOIN crossing c ON c.id BETWEEN ${range('s.n')}
    WHERE c.recorded_kg IS NOT NULL AND +c.unsure = 0 AND right_tag <> '' AND NOT ${VOID}
    GROUP BY right_tag, s.farm, c.day
    UNION ALL
    SELECT tag, nullif(farm, ''), day, kg, 0 FROM earlier_weight WHERE day >= @since
  ), ranked AS (
    SELECT tag, farm, day, kg,
      dense_rank() OVER (PARTITION BY tag, farm ORDER BY day DESC) AS place,
      row_number() OVER (PARTITION BY tag, farm, day ORDER BY at_ms DESC) AS of_day
    FROM weight
  )
  SELECT tag, farm, day, kg FROM ranked WHERE place <= 2 AND of_day = 1 ORDER BY tag, day DESC`;
