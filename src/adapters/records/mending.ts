/** Rows that were written before the clock was set, put right when its error is known. */
import type Database from 'better-sqlite3';
import type { Days } from './day.ts';
import type { RowMessage } from './messages.ts';
import { range } from './schema.ts';

/** What a session writes besides its crossings: which rows are its own, and whether they carry a day. */
const BESIDES: readonly { table: string; own: string; hasDay: boolean }[] = [
  { table: 'event', own: 'session = @n', hasDay: true },
  { table: 'given', own: 'session = @n', hasDay: true },
  { table: 'pen', own: 'session = @n', hasDay: false },
  { table: 'session_plan', own: 'session = @n', hasDay: false },
  { table: 'correction', own: `crossing BETWEEN ${range('@n')}`, hasDay: false },
];

export function mendStatements(db: Database.Database) {
  // A check belongs to no session: those of before the day book was opened were by another clock.
  const last = db.prepare('SELECT coalesce(max(n), 0) FROM check_weight').pluck().get() as number;
  const checks = { table: 'check_weight', own: `n > ${last}`, hasDay: true };
  return {
    unset: db.prepare(`SELECT id, at_ms FROM crossing
      WHERE id BETWEEN ${range('@n')} AND animal >= @animal AND clock_set = 0`),
    besides: [...BESIDES, checks].map(({ table, own, hasDay }) => ({
      unset: db.prepare(`SELECT n AS id, at_ms FROM ${table}
        WHERE ${own} AND clock_set = 0 AND at_ms >= @sinceMs`),
      mend: db.prepare(`UPDATE ${table} SET at_ms = @atMs, clock_set = 2${hasDay ? ', day = @day' : ''}
        WHERE n = @id`),
    })),
    forgetDays: db.prepare('DELETE FROM session_day WHERE session = ?'),
    findDays: db.prepare(`INSERT INTO session_day (day, session)
      SELECT DISTINCT day, session FROM crossing WHERE id BETWEEN ${range('@n')}`),
    mendCrossing: db.prepare(`UPDATE crossing SET at_ms = @atMs, day = @day, clock_set = 2
      WHERE id = @id`),
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
  for (const one of sql.besides) {
    for (const { id, at_ms } of rows(one.unset.all({ n, sinceMs: since.atMs }))) {
      one.mend.run({ id, ...right(at_ms) });
    }
  }
  sql.forgetDays.run(n);
  sql.findDays.run({ n });
  const { started_ms } = sql.sessionStart.get(n) as { started_ms: number };
  if (since.animal === 1) sql.mendSession.run({ n, ...right(started_ms) });
}
