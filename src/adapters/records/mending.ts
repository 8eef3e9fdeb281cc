/** Rows that were written before the clock was set, put right when its error is known. */
import type Database from 'better-sqlite3';
import type { Days } from './day.ts';
import type { RowMessage } from './messages.ts';
import { range } from './schema.ts';

export function mendStatements(db: Database.Database) {
  return {
    unset: db.prepare(`SELECT id, at_ms FROM crossing
      WHERE id BETWEEN ${range('@n')} AND animal >= @animal AND clock_set = 0`),
    unsetEvents: db.prepare(`SELECT n AS id, at_ms FROM event
      WHERE session = @n AND clock_set = 0 AND at_ms >= @sinceMs`),
    forgetDays: db.prepare('DELETE FROM session_day WHERE session = ?'),
    findDays: db.prepare(`INSERT INTO session_day (day, session)
      SELECT DISTINCT day, session FROM crossing WHERE id BETWEEN ${range('@n')}`),
    mendCrossing: db.prepare(`UPDATE crossing SET at_ms = @atMs, day = @day, clock_set = 2
      WHERE id = @id`),
    mendEvent: db.prepare(`UPDATE event SET at_ms = @atMs, day = @day, clock_set = 2
      WHERE n = @id`),
    mendSession: db.prepare(`UPDATE session SET started_ms = @atMs, day = @day, clock_set = 2
      WHERE n = @n AND clock_set = 0`),
    sessionStart: db.prepare('SELECT started_ms FROM session WHERE n = ?'),
  };
}

/** Adds the clock's error to what was written of session number `n` since it is known. */
export function mend(
  sql: ReturnType<typeof mendStatements>,
  days: Days,
  n: number,
  { since, deltaMs }: Extract<RowMessage, { kind: 'mend' }>,
): void {
  const right = (atMs: number) => ({ atMs: atMs + deltaMs, day: days.dayOf(atMs + deltaMs) });
  const rows = (found: unknown[]) => found as { id: number; at_ms: number }[];
  for (const { id, at_ms } of rows(sql.unset.all({ n, animal: since.animal }))) {
    sql.mendCrossing.run({ id, ...right(at_ms) });
  }
  for (const { id, at_ms } of rows(sql.unsetEvents.all({ n, sinceMs: since.atMs }))) {
    sql.mendEvent.run({ id, ...right(at_ms) });
  }
  sql.forgetDays.run(n);
  sql.findDays.run({ n });
  const { started_ms } = sql.sessionStart.get(n) as { started_ms: number };
  if (since.animal === 1) sql.mendSession.run({ n, ...right(started_ms) });
}
