import type Database from 'better-sqlite3';
import { checkStatements } from './check-weights.ts';
import { mendStatements } from './mending.ts';
import { planStatements } from './plans.ts';
import { range } from './schema.ts';

/** Events that are kept, about 100 bytes each: years of days with an event or two for each animal. */
const MOST_EVENTS = 500_000;

export type Statements = ReturnType<typeof statements>;

/** Every statement that writes the day book, or is asked while it is written. */
export function statements(db: Database.Database) {
  return {
    findSession: db.prepare('SELECT n FROM session WHERE id = ?'),
    // A session may be described after its first row, and anew: what a person says last counts.
    session: db.prepare(`
      INSERT INTO session (id, started_ms, day, clock_set, fank, plan_name, plan_hash, plan,
        division_kg, farm, holding, flock_mark, mob, field, hours_off_feed, fleece, who)
      VALUES (@id, @atMs, @day, @clockSet, @version, @planName, @planHash, @plan,
        @divisionKg, @farm, @holding, @flockMark, @mob, @field, @hoursOffFeed, @fleece, @who)
      ON CONFLICT (id) DO UPDATE SET
        plan_name = coalesce(plan_name, excluded.plan_name),
        plan_hash = coalesce(plan_hash, excluded.plan_hash), plan = coalesce(plan, excluded.plan),
        division_kg = coalesce(division_kg, excluded.division_kg),
        farm = excluded.farm, holding = excluded.holding, flock_mark = excluded.flock_mark,
        mob = excluded.mob, field = excluded.field, hours_off_feed = excluded.hours_off_feed,
        fleece = excluded.fleece, who = excluded.who`),
    crossing: db.prepare(`
      INSERT INTO crossing (id, session, animal, at_ms, day, clock_set, tag, entered_t,
        first_decided_t, decided_t, let_go_t, left_t, lot, exit, pen, decision_kg, recorded_kg,
        uncertainty_kg, rule, reason, revisions, unsure, flags, marks, plan)
      VALUES (@id, @n, @animal, @atMs, @day, @clockSet, @tag, @enteredAt, @firstDecidedAt, @decidedAt,
        @letGoAt, @leftAt, @lot, @exit, @pen, @decisionKg, @recordedKg, @uncertaintyKg, @rule,
        @reason, @revisions, @unsure, @flags, @marks,
        coalesce((SELECT plan FROM session_plan WHERE session = @n ORDER BY n DESC LIMIT 1),
          (SELECT plan FROM session_plan ORDER BY n DESC LIMIT 1)))
      ON CONFLICT (id) DO NOTHING`),
    there: db.prepare(`SELECT let_go_t, entered_t, recorded_kg, tag, exit, flags, marks
      FROM crossing WHERE id = ?`),
    end: db.prepare(`UPDATE crossing SET left_t = coalesce(left_t, @leftAt), late = coalesce(late, @late)
      WHERE id = @id`),
    penOf: db.prepare(
      'SELECT name FROM pen WHERE session = ? AND exit = ? ORDER BY n DESC LIMIT 1',
    ),
    pen: db.prepare(`INSERT INTO pen (session, exit, name, at_ms, clock_set)
      VALUES (@n, @exit, @pen, @atMs, @clockSet)`),
    ...planStatements(db),
    ...checkStatements(db),
    ...mendStatements(db),
    correct: db.prepare(`
      INSERT INTO correction (crossing, at_ms, clock_set, kind, value, who, why)
      VALUES (@id, @atMs, @clockSet, @kind, @value, @who, @why)`),
    given: db.prepare(`INSERT INTO given (session, at_ms, day, clock_set, product, batch, expiry,
        ml_per_kg, step_ml, days, use, who)
      VALUES (@n, @atMs, @day, @clockSet, @product, @batch, @expiry, @mlPerKg, @stepMl, @days, @use,
        @who)`),
    givenNow: db.prepare('SELECT n, product FROM given WHERE session = ? ORDER BY n DESC LIMIT 1'),
    dose: db.prepare('INSERT INTO dose (crossing, given, ml) VALUES (?, ?, ?)'),
    event: db.prepare(`INSERT INTO event (session, at_ms, day, clock_set, t, kind, detail)
      VALUES (@n, @atMs, @day, @clockSet, @t, @kind, @detail)`),
    // One that is a crossing (under a number that was taken) stays, whatever its age.
    dropOldEvents: db.prepare(`DELETE FROM event
      WHERE n <= (SELECT max(n) FROM event) - ${MOST_EVENTS} AND kind <> 'clash'`),
    sessionDay: db.prepare(
      'INSERT INTO session_day (day, session) VALUES (?, ?) ON CONFLICT DO NOTHING',
    ),
    // A session that is taken up again is not seen to its end either.
    fillSeen: db.prepare(`INSERT INTO seen (tag, crossing)
      SELECT c.tag, c.id FROM session s CROSS JOIN crossing c ON c.id BETWEEN ${range('s.n')}
      WHERE s.seen = 0 AND s.n <> @n AND c.tag IS NOT NULL ON CONFLICT DO NOTHING`),
    markSeen: db.prepare(
      'UPDATE session SET seen = (n <> @n) WHERE seen <> (n <> @n) AND (seen = 0 OR n = @n)',
    ),
  };
}
