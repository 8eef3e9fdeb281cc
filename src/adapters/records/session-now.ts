import type Database from 'better-sqlite3';
import type { Given } from '../../core/sortplan/dosing.ts';
import type { ShownAnimal, ShownGiven, ShownHeads } from '../session.ts';
import type { RaceTreatment, SessionInfo } from './messages.ts';
import { treatmentsOf } from './treatments.ts';
import { SEEN_AGAIN } from './corrected.ts';
import { readSession, type BookRow, type BookSession, type SessionBook } from './day-book.ts';
import { counted } from './lots.ts';
import { range } from './schema.ts';

/** Animals shown for putting something right. */
const LAST = 40;

/** A session as it stands: for carrying on after a restart, and for the page. */
export interface SessionNow extends ShownHeads {
  info: SessionInfo;
  startedMs: number;
  day: string;
  clock: BookRow['clock'];
  /** A number that no animal of this session has. */
  nextAnimal: number;
  /** Per lot without pens that are gated off: capacity is reckoned with these. */
  counts: Record<string, number>;
  given: ShownGiven | null;
  /** What its animals were given. */
  treatments: RaceTreatment[];
}

/** The session of that name, or null where the day book has none. */
export function sessionNow(db: Database.Database, id: string): SessionNow | null {
  const read = readSession(db, id);
  return read === null ? null : { ...standing(db, read), nextAnimal: nextAnimal(db, id) };
}

/** The same of a session that was read; its next number by its rows alone. */
export function standing(db: Database.Database, read: SessionBook): SessionNow {
  const { session, rows, day, clock } = read;
  const { id } = session;
  const opened = db.prepare(PENS).all(id) as { exit: string; name: string }[];
  const penOf = Object.fromEntries(opened.map(({ exit, name }) => [exit, name]));
  const shut = shutPens(opened, penOf);
  const heads = counted({ rows });
  return {
    info: infoOf(session),
    startedMs: session.startedMs,
    day,
    clock,
    nextAnimal: rows.reduce((most, { animal }) => Math.max(most, animal), 0) + 1,
    head: heads.length,
    perLot: tally(heads),
    counts: tally(heads.filter(({ pen }) => pen === null || !shut.has(pen))),
    penOf,
    pens: pensOf(heads, shut),
    again: cameAgain(rows),
    given: givenNow(db, id, rows),
    recent: rows.slice(-LAST).reverse().map(recent),
    treatments: treatmentsOf(rows, session),
  };
}

/** The session that was begun last, whatever came of it. */
export function lastSession(db: Database.Database): SessionNow | null {
  const id = db.prepare('SELECT id FROM session ORDER BY n DESC LIMIT 1').pluck().get();
  return typeof id === 'string' ? sessionNow(db, id) : null;
}

/** What was said last of each farm, the latest first; farms are never mixed. */
export function lastOfFarms(db: Database.Database): SessionInfo[] {
  const ids = db.prepare(FARMS).pluck().all() as string[];
  return ids.flatMap((id) => {
    const read = readSession(db, id);
    return read === null ? [] : [infoOf(read.session)];
  });
}

const FARMS = `
  SELECT id FROM session WHERE n IN (SELECT max(n) FROM session WHERE farm IS NOT NULL GROUP BY farm)
  ORDER BY n DESC LIMIT 12`;

const PENS = `
  SELECT p.exit, p.name FROM pen p JOIN session s ON s.n = p.session WHERE s.id = ? ORDER BY p.n`;

/** A row may be missing where nothing but a correction or an event names the animal. */
const NEXT = `
  SELECT max(a) FROM (
    SELECT max(c.animal) AS a FROM session s CROSS JOIN crossing c ON c.id BETWEEN ${range('s.n')}
      WHERE s.id = @id
    UNION ALL
    SELECT max(json_extract(e.detail, '$.animal')) FROM session s JOIN event e ON e.day >= s.day
      WHERE s.id = @id AND e.session = s.n)`;

function nextAnimal(db: Database.Database, id: string): number {
  const last = db.prepare(NEXT).pluck().get({ id });
  return typeof last === 'number' ? last + 1 : 1;
}

/** Every name that an exit's pen had before the one that it has now. */
function shutPens(
  opened: { exit: string; name: string }[],
  penOf: Record<string, string>,
): Set<string> {
  const open = new Set(Object.values(penOf));
  const names = opened.flatMap(({ exit, name }) => [exit, name]);
  return new Set(names.filter((name) => !open.has(name)));
}

function infoOf(session: BookSession): SessionInfo {
  const { id, farm, holding, flockMark, mob, field, hoursOffFeed, who, divisionKg } = session;
  const fleece = session.fleece as SessionInfo['fleece'];
  return {
    ...{ id, plan: null, divisionKg, farm, holding, flockMark, mob },
    ...{ field, hoursOffFeed, fleece, who },
  };
}

function tally(rows: BookRow[]): Record<string, number> {
  const counts: Record<string, number> = {};
  for (const { lot } of rows) counts[lot ?? ''] = (counts[lot ?? ''] ?? 0) + 1;
  return counts;
}

function pensOf(rows: BookRow[], shut: Set<string>): SessionNow['pens'] {
  const pens = new Map<string | null, SessionNow['pens'][number]>();
  for (const { pen, exit } of rows) {
    const one = pens.get(pen) ?? { pen, exit, head: 0, open: pen === null || !shut.has(pen) };
    pens.set(pen, { ...one, head: one.head + 1 });
  }
  return [...pens.values()];
}

/** Each tag is asked about once, however often it comes. */
function cameAgain(rows: BookRow[]): SessionNow['again'] {
  const byTag = new Map<string, BookRow[]>();
  for (const row of rows) {
    if (row.tag === null) continue;
    if (row.notCounted !== null && row.notCounted !== SEEN_AGAIN) continue;
    byTag.set(row.tag, [...(byTag.get(row.tag) ?? []), row]);
  }
  return [...byTag]
    .filter(([, seen]) => seen.length > 1 && !seen.some((row) => answered(row)))
    .map(([tag, seen]) => ({ tag, animals: seen.map(({ animal }) => animal) }));
}

const answered = (row: BookRow): boolean => row.corrections.some(({ kind }) => kind === 'again');

function givenNow(db: Database.Database, id: string, rows: BookRow[]): ShownGiven | null {
  const raw = db.prepare(GIVEN).get(id) as (Given & { atMs: number }) | undefined;
  // eslint-disable-next-line @typescript-eslint/no-unnecessary-condition -- null: nothing any more
  if (raw === undefined || raw.product === null) return null;
  const { atMs, ...what } = raw;
  const doses = rows.flatMap((row) => (row.given === null || row.atMs < atMs ? [] : [row.given]));
  const known = doses.flatMap(({ ml }) => ml ?? []);
  const ml = Math.round(1000 * known.reduce((sum, one) => sum + one, 0)) / 1000;
  return { what, doses: known.length, ml, unknown: doses.length - known.length };
}

const GIVEN = `
  SELECT g.at_ms AS atMs, g.product, g.batch, g.expiry, g.ml_per_kg AS mlPerKg, g.step_ml AS stepMl,
    g.days, g.use
  FROM given g JOIN session s ON s.n = g.session WHERE s.id = ? ORDER BY g.n DESC LIMIT 1`;

function recent(row: BookRow): ShownAnimal {
  const { animal, tag, lot, exit, pen, notCounted, unsure, recordedKg, given } = row;
  const kinds = new Set(row.corrections.map(({ kind }) => kind));
  const putRight = [...kinds].filter(
    (kind) => (row.corrections.findLast((one) => one.kind === kind)?.value ?? null) !== null,
  );
  const dose = given === null ? null : (given.ml ?? 'unknown');
  return { animal, tag, kg: recordedKg, lot, exit, pen, notCounted, unsure, dose, putRight };
}
