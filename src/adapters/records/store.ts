import type Database from 'better-sqlite3';
import type { Crossing } from '../../core/trace.ts';
import { readSession } from './day-book.ts';
import { daysOf, type Days } from './day.ts';
import { counted } from './lots.ts';
import type { RowMessage, SessionInfo, SessionPlan, Wall } from './messages.ts';
import { mend } from './mending.ts';
import { pastCorrections } from './past.ts';
import { takePlan } from './plans.ts';
import { crossingId } from './schema.ts';
import { statements, type Statements } from './statements.ts';

/** What became of a crossing's row. */
export interface Kept {
  session: string;
  animal: number;
  /**
   * `told`: its row was there already, the same; `clash`: the key was taken by another crossing, and
   * this one was kept as an event.
   */
  as: 'row' | 'told' | 'clash';
  lot: string | null;
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
  const { runAgain, planOf, writeEvent, checked, correct } = otherWriters(db, sql, sessions, days);

  const one = (row: RowMessage): Kept | null => {
    switch (row.kind) {
      case 'session':
        sessions.describe(row.session, row.wall);
        if (row.session.plan !== null) planOf(row.session.id, row.session.plan, row.wall);
        return null;
      case 'plan':
        planOf(row.session, row.plan, row.wall);
        return null;
      case 'earlier-weights':
        for (const weight of row.weights) sql.earlierWeight.run(weight);
        return null;
      case 'check-weight':
        checked(row);
        return null;
      case 'crossing':
        return crossings(row, sessions.of(row.session, row.wall));
      case 'correction':
        correct(row);
        return null;
      case 'event':
        writeEvent(row, row.session === null ? null : sessions.of(row.session, row.wall));
        return null;
      case 'pen':
        sql.pen.run({ ...row, n: sessions.of(row.session, row.wall), ...stamp(row.wall) });
        return null;
      case 'given':
        sql.given.run({
          ...(row.given ?? NOTHING_GIVEN),
          n: sessions.of(row.session, row.wall),
          ...stamp(row.wall),
          day: days.dayOf(row.wall.atMs),
          who: row.who,
        });
        return null;
      case 'run-again':
        runAgain(row);
        return null;
      case 'mend':
        mend(sql, days, sessions.of(row.session, row.wall), row);
        return null;
    }
  };
  return {
    write: db.transaction((rows: readonly RowMessage[]) =>
      rows.map(one).filter((kept) => kept !== null),
    ),
  };
}

/** What is written besides crossings and what a person says of them. */
function otherWriters(
  db: Database.Database,
  sql: Statements,
  sessions: ReturnType<typeof sessionNumbers>,
  days: Days,
) {
  /** Of the animals that are in the pen by now, whatever was put right since they were let go. */
  const runAgain = (row: Row<'run-again'>): void => {
    const n = sessions.of(row.session, row.wall);
    const inPen = counted(readSession(db, row.session) ?? { rows: [] });
    for (const { animal, pen } of inPen) {
      if (pen !== row.pen) continue;
      const said = { kind: 'void', value: 'true', who: row.who, why: 'run again' };
      sql.correct.run({ id: crossingId(n, animal), ...stamp(row.wall), ...said });
    }
  };
  const correct = ({ correction: said, wall }: Row<'correction'>): void => {
    const { past = false, session } = said;
    const kept = past ? pastCorrections(db, said, days.dayOf(wall.atMs)) : [said];
    // One that is over stays so: the session that is on is not changed for it.
    const n = past ? sessions.find(session) : sessions.of(session, wall);
    if (n === undefined) return;
    for (const { animal, kind, value, who, why } of kept) {
      const put = { kind, value: JSON.stringify(value), who, why };
      sql.correct.run({ id: crossingId(n, animal), ...stamp(wall), ...put });
    }
  };
  const checked = ({ check, wall }: Row<'check-weight'>): void => {
    const corners = JSON.stringify(check.cornersKg);
    sql.check.run({ ...check, ...stamp(wall), day: days.dayOf(wall.atMs), corners });
  };
  const planOf = (session: string, plan: SessionPlan, wall: Wall): void => {
    takePlan(sql, sessions.of(session, wall), plan, stamp(wall));
  };
  const writeEvent = (row: Row<'event'>, n: number | null): void => {
    const { kind, ...detail } = row.event;
    const when = { ...stamp(row.wall), day: days.dayOf(row.wall.atMs), t: row.t };
    sql.event.run({ n, ...when, kind, detail: JSON.stringify(detail) });
  };
  return { runAgain, planOf, writeEvent, checked, correct };
}

const NOTHING_GIVEN = {
  ...{ product: null, batch: null, expiry: null, mlPerKg: null, stepMl: null },
  ...{ days: null, use: null },
};

/** `mended` is 2 in the column: written before the clock was set, put right afterwards. */
function stamp(wall: Wall): { atMs: number; clockSet: number } {
  return { atMs: Math.round(wall.atMs), clockSet: wall.clockSet ? 1 : 0 };
}

/** Sessions by the number that rows carry; one that nobody described gets a bare row. */
function sessionNumbers(
  sql: Statements,
  days: Days,
  version: string,
): {
  find(id: string): number | undefined;
  of(id: string, wall: Wall): number;
  describe(session: SessionInfo, wall: Wall): void;
} {
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
  let current = { id: '', n: 0 };
  const of = (id: string, wall: Wall): number => {
    if (current.id === id) return current.n;
    if (find(id) === undefined) describe(bareSession(id), wall);
    const n = find(id) ?? 0;
    // The session before this one is over: now its tags can be found by their number.
    sql.fillSeen.run({ n });
    sql.markSeen.run({ n });
    sql.dropOldEvents.run();
    current = { id, n };
    return n;
  };
  return { find, of, describe };
}

function bareSession(id: string): SessionInfo {
  const said = { farm: null, holding: null, flockMark: null, mob: null, field: null };
  return { id, plan: null, divisionKg: null, ...said, hoursOffFeed: null, fleece: null, who: null };
}

function crossingWriter(
  sql: Statements,
  days: Days,
): (row: Row<'crossing'>, n: number) => Kept | null {
  const insert = (row: Row<'crossing'>, n: number): boolean => {
    const c = row.crossing;
    const pen =
      c.exit === null ? null : (sql.penOf.get(n, c.exit) as { name: string } | undefined)?.name;
    const when = { ...stamp(row.wall), day: days.dayOf(row.wall.atMs) };
    const id = crossingId(n, c.animal);
    sql.sessionDay.run(when.day, n);
    const written = { id, n, pen: pen ?? c.exit, ...when, ...columns(c) };
    if (sql.crossing.run(written).changes !== 1) return false;
    const given = sql.givenNow.get(n) as { n: number; product: string | null } | undefined;
    if (given !== undefined && given.product !== null)
      sql.dose.run(id, given.n, row.doseMl ?? null);
    return true;
  };
  return (row, n) => {
    const { session, crossing } = row;
    const { animal } = crossing;
    const { lot } = crossing;
    if (insert(row, n)) return { session, animal, as: 'row', lot };
    const there = sql.there.get(crossingId(n, animal)) as There;
    if (!isSame(there, crossing)) {
      const { atMs, clockSet } = stamp(row.wall);
      const when = {
        atMs,
        clockSet,
        day: days.dayOf(atMs),
        t: crossing.letGoAt ?? crossing.leftAt ?? 0,
      };
      sql.event.run({ n, ...when, kind: 'clash', detail: JSON.stringify({ crossing }) });
      return { session, animal, as: 'clash', lot };
    }
    if (row.final) {
      const late = lateChanges(there, crossing);
      sql.end.run({
        id: crossingId(n, animal),
        leftAt: crossing.leftAt,
        late: late === null ? null : JSON.stringify(late),
      });
      return null; // it was confirmed at letting go
    }
    return { session, animal, as: 'told', lot };
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
