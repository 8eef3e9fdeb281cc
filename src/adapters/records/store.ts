import type Database from 'better-sqlite3';
import type { Crossing } from '../../core/trace.ts';
import { daysOf, type Days } from './day.ts';
import type { RowMessage, SessionInfo, Wall } from './messages.ts';

/** What became of a crossing's row. */
export interface Kept {
  session: string;
  animal: number;
  /** `clash`: the key was taken by another crossing; this one was kept as an event. */
  as: 'row' | 'clash';
}

/** The one writer of the day book. */
export interface Store {
  /** Writes all rows in one transaction, or none. @throws the error of SQLite. */
  write(rows: readonly RowMessage[]): Kept[];
}

type Row<K extends RowMessage['kind']> = Extract<RowMessage, { kind: K }>;

export function openStore(db: Database.Database, zone: string, version: string): Store {
  const days = daysOf(zone);
  const sql = statements(db);
  const sessions = sessionNumbers(sql, days, version);
  const crossings = crossingWriter(sql, days);

  const one = (row: RowMessage): Kept | null => {
    switch (row.kind) {
      case 'session':
        sessions.describe(row.session, row.wall);
        return null;
      case 'crossing':
        return crossings(row, sessions.of(row.session, row.wall));
      case 'correction': {
        const { animal, kind, value, who, why } = row.correction;
        const n = sessions.of(row.correction.session, row.wall);
        sql.correct.run({
          n,
          animal,
          ...stamp(row.wall),
          kind,
          value: JSON.stringify(value),
          who,
          why,
        });
        return null;
      }
      case 'event':
        writeEvent(row, row.session === null ? null : sessions.of(row.session, row.wall));
        return null;
      case 'pen':
        sql.pen.run({ ...row, n: sessions.of(row.session, row.wall), ...stamp(row.wall) });
        return null;
      case 'run-again':
        sql.runAgain.run({ ...row, n: sessions.of(row.session, row.wall), ...stamp(row.wall) });
        return null;
      case 'mend':
        mend(row);
        return null;
    }
  };
  const writeEvent = (row: Row<'event'>, n: number | null): void => {
    const { kind, ...detail } = row.event;
    const when = { ...stamp(row.wall), day: days.dayOf(row.wall.atMs), t: row.t };
    sql.event.run({ n, ...when, kind, detail: JSON.stringify(detail) });
  };
  const mend = (row: Row<'mend'>): void => {
    const n = sessions.of(row.session, row.wall);
    for (const { animal, at_ms } of sql.unset.all(n) as { animal: number; at_ms: number }[]) {
      const atMs = at_ms + row.deltaMs;
      sql.mendCrossing.run({ n, animal, atMs, day: days.dayOf(atMs) });
    }
    const { started_ms } = sql.sessionStart.get(n) as { started_ms: number };
    const atMs = started_ms + row.deltaMs;
    sql.mendSession.run({ n, atMs, day: days.dayOf(atMs) });
  };
  return {
    write: db.transaction((rows: readonly RowMessage[]) =>
      rows.map(one).filter((kept) => kept !== null),
    ),
  };
}

/** `mended` is 2 in the column: written before the clock was set, put right afterwards. */
function stamp(wall: Wall): { atMs: number; clockSet: number } {
  return { atMs: Math.round(wall.atMs), clockSet: wall.clockSet ? 1 : 0 };
}

/** Sessions by the number that rows carry; one that nobody described gets a bare row. */
function sessionNumbers(
  sql: Statements,
  days: Days,
  version: string,
): { of(id: string, wall: Wall): number; describe(session: SessionInfo, wall: Wall): void } {
  const find = (id: string): number | undefined =>
    (sql.findSession.get(id) as { n: number } | undefined)?.n;
  const describe = (s: SessionInfo, wall: Wall): void => {
    sql.session.run({
      ...s,
      ...stamp(wall),
      day: days.dayOf(wall.atMs),
      version,
      planName: s.plan?.name ?? null,
      planHash: s.plan?.hash ?? null,
      plan: s.plan === null ? null : JSON.stringify(s.plan.resolved),
    });
  };
  const of = (id: string, wall: Wall): number => {
    if (find(id) === undefined) describe(bareSession(id), wall);
    return find(id) ?? 0;
  };
  return { of, describe };
}

function bareSession(id: string): SessionInfo {
  const said = { farm: null, holding: null, flockMark: null, mob: null, field: null };
  return { id, plan: null, divisionKg: null, ...said, hoursOffFeed: null, fleece: null, who: null };
}

function crossingWriter(sql: Statements, days: Days): (row: Row<'crossing'>, n: number) => Kept {
  const insert = (row: Row<'crossing'>, n: number): boolean => {
    const c = row.crossing;
    const pen =
      c.exit === null ? null : (sql.penOf.get(n, c.exit) as { name: string } | undefined)?.name;
    const when = { ...stamp(row.wall), day: days.dayOf(row.wall.atMs) };
    return sql.crossing.run({ n, pen: pen ?? c.exit, ...when, ...columns(c) }).changes === 1;
  };
  return (row, n) => {
    const { session, crossing } = row;
    const { animal } = crossing;
    if (insert(row, n)) return { session, animal, as: 'row' };
    const there = sql.there.get(n, animal) as There;
    if (!isSame(there, crossing)) {
      const { atMs, clockSet } = stamp(row.wall);
      const when = {
        atMs,
        clockSet,
        day: days.dayOf(atMs),
        t: crossing.letGoAt ?? crossing.leftAt ?? 0,
      };
      sql.event.run({ n, ...when, kind: 'clash', detail: JSON.stringify({ crossing }) });
      return { session, animal, as: 'clash' };
    }
    if (row.final) {
      const late = lateChanges(there, crossing);
      sql.end.run({
        n,
        animal,
        leftAt: crossing.leftAt,
        late: late === null ? null : JSON.stringify(late),
      });
    }
    return { session, animal, as: 'row' };
  };
}

interface There {
  let_go_t: number | null;
  recorded_kg: number | null;
  entered_t: number | null;
  tag: string | null;
  exit: string | null;
  flags: string;
  marks: string;
}

/** The same animal's way, told once more (or told to its end), and not another under its number. */
function isSame(there: There, c: Crossing): boolean {
  return (
    there.let_go_t === c.letGoAt &&
    there.entered_t === c.enteredAt &&
    there.recorded_kg === c.recordedKg
  );
}

/** What had changed between letting go and the end: these, and no weight, may still change. */
function lateChanges(there: There, c: Crossing): Partial<Crossing> | null {
  const late: Partial<Crossing> = {};
  if (there.tag !== c.tag) late.tag = c.tag;
  if (there.exit !== c.exit) late.exit = c.exit;
  if (there.flags !== JSON.stringify(c.flags)) late.flags = c.flags;
  if (there.marks !== JSON.stringify(c.marks)) late.marks = c.marks;
  return Object.keys(late).length === 0 ? null : late;
}

function columns(c: Crossing): object {
  return {
    ...c,
    session: null,
    unsure: c.unsure ? 1 : 0,
    flags: JSON.stringify(c.flags),
    marks: JSON.stringify(c.marks),
  };
}

type Statements = ReturnType<typeof statements>;

function statements(db: Database.Database) {
  return {
    findSession: db.prepare('SELECT n FROM session WHERE id = ?'),
    sessionStart: db.prepare('SELECT started_ms FROM session WHERE n = ?'),
    // A session may be described after its first row: fill in what nobody had said.
    session: db.prepare(`
      INSERT INTO session (id, started_ms, day, clock_set, fank, plan_name, plan_hash, plan,
        division_kg, farm, holding, flock_mark, mob, field, hours_off_feed, fleece, who)
      VALUES (@id, @atMs, @day, @clockSet, @version, @planName, @planHash, @plan,
        @divisionKg, @farm, @holding, @flockMark, @mob, @field, @hoursOffFeed, @fleece, @who)
      ON CONFLICT (id) DO UPDATE SET
        plan_name = coalesce(plan_name, excluded.plan_name),
        plan_hash = coalesce(plan_hash, excluded.plan_hash), plan = coalesce(plan, excluded.plan),
        division_kg = coalesce(division_kg, excluded.division_kg),
        farm = coalesce(farm, excluded.farm), holding = coalesce(holding, excluded.holding),
        flock_mark = coalesce(flock_mark, excluded.flock_mark), mob = coalesce(mob, excluded.mob),
        field = coalesce(field, excluded.field),
        hours_off_feed = coalesce(hours_off_feed, excluded.hours_off_feed),
        fleece = coalesce(fleece, excluded.fleece), who = coalesce(who, excluded.who)`),
    crossing: db.prepare(`
      INSERT INTO crossing (session, animal, at_ms, day, clock_set, tag, entered_t,
        first_decided_t, decided_t, let_go_t, left_t, lot, exit, pen, decision_kg, recorded_kg,
        uncertainty_kg, rule, reason, revisions, unsure, flags, marks)
      VALUES (@n, @animal, @atMs, @day, @clockSet, @tag, @enteredAt, @firstDecidedAt, @decidedAt,
        @letGoAt, @leftAt, @lot, @exit, @pen, @decisionKg, @recordedKg, @uncertaintyKg, @rule,
        @reason, @revisions, @unsure, @flags, @marks)
      ON CONFLICT (session, animal) DO NOTHING`),
    there: db.prepare(`SELECT let_go_t, entered_t, recorded_kg, tag, exit, flags, marks
      FROM crossing WHERE session = ? AND animal = ?`),
    end: db.prepare(`UPDATE crossing SET left_t = coalesce(left_t, @leftAt), late = coalesce(late, @late)
      WHERE session = @n AND animal = @animal`),
    penOf: db.prepare(
      'SELECT name FROM pen WHERE session = ? AND exit = ? ORDER BY n DESC LIMIT 1',
    ),
    pen: db.prepare(`INSERT INTO pen (session, exit, name, at_ms, clock_set)
      VALUES (@n, @exit, @pen, @atMs, @clockSet)`),
    correct: db.prepare(`
      INSERT INTO correction (session, animal, at_ms, clock_set, kind, value, who, why)
      VALUES (@n, @animal, @atMs, @clockSet, @kind, @value, @who, @why)`),
    runAgain: db.prepare(`
      INSERT INTO correction (session, animal, at_ms, clock_set, kind, value, who, why)
      SELECT session, animal, @atMs, @clockSet, 'void', 'true', @who, 'run again'
      FROM crossing WHERE session = @n AND pen = @pen`),
    event: db.prepare(`INSERT INTO event (session, at_ms, day, clock_set, t, kind, detail)
      VALUES (@n, @atMs, @day, @clockSet, @t, @kind, @detail)`),
    unset: db.prepare('SELECT animal, at_ms FROM crossing WHERE session = ? AND clock_set = 0'),
    mendCrossing: db.prepare(`UPDATE crossing SET at_ms = @atMs, day = @day, clock_set = 2
      WHERE session = @n AND animal = @animal`),
    mendSession: db.prepare(`UPDATE session SET started_ms = @atMs, day = @day, clock_set = 2
      WHERE n = @n AND clock_set = 0`),
  };
}
