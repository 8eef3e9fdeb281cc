import type Database from 'better-sqlite3';
import type { Mark, Rule } from '../../core/trace.ts';
import { daysOf, type Days } from './day.ts';
import { applyCorrections, leaveOutSeenAgain, type RawCorrection } from './corrected.ts';
import type { Given } from '../../core/sortplan/dosing.ts';
import type { Correction } from './messages.ts';
import { readCrossings, type Raw } from './crossings.ts';
import { planFacts, planReader, type PlanFacts } from './plan-facts.ts';
import { ANIMALS, range } from './schema.ts';

/** A session as the day book keeps it. */
export interface BookSession extends PlanFacts {
  id: string;
  startedMs: number;
  /** The plan that it was begun with. */
  planName: string | null;
  divisionKg: number | null;
  farm: string | null;
  holding: string | null;
  flockMark: string | null;
  mob: string | null;
  field: string | null;
  hoursOffFeed: number | null;
  fleece: string | null;
  who: string | null;
}

/** One crossing as it stands: as written, as it ended, and as it was put right afterwards. */
export interface BookRow {
  session: string;
  animal: number;
  /** UTC ms of letting go. */
  atMs: number;
  /** `YYYY-MM-DDTHH:MM:SS` by the clock on the wall of the site. */
  localTime: string;
  day: string;
  /** `unset`: written before the system clock was set; `mended`: and put right afterwards. */
  clock: 'set' | 'unset' | 'mended';
  tag: string | null;
  lot: string | null;
  exit: string | null;
  pen: string | null;
  decisionKg: number | null;
  recordedKg: number | null;
  /** Half-width of the 95 % interval, kg. */
  uncertaintyKg: number | null;
  rule: Rule | null;
  reason: string | null;
  revisions: number;
  unsure: boolean;
  flags: string[];
  marks: Mark[];
  enteredT: number | null;
  letGoT: number | null;
  leftT: number | null;
  /** Null where it counts; otherwise why not: taken back, run again, seen again later. */
  notCounted: string | null;
  /** What people said, in that order; `was`: what had been written. */
  corrections: (Pick<Correction, 'kind' | 'value' | 'who' | 'why'> & {
    was: Correction['value'];
  })[];
  /** The exact plan that decided it; null where none was kept. */
  plan: ({ name: string; hash: string } & PlanFacts) | null;
  /** What it was given as it passed; null: nothing. `ml` null: not known whether, so treated. */
  given: (Omit<Given, 'mlPerKg' | 'stepMl'> & { ml: number | null }) | null;
}

/** A day at the race: the one query behind `fank book`, the page and every export. */
export interface DayBook {
  siteId: string;
  zone: string;
  day: string;
  sessions: BookSession[];
  rows: BookRow[];
}

/** The latest day with crossings, of one farm or of all (null), or null where there are none. */
export function latestDay(db: Database.Database, farm: string | null = null): string | null {
  return db.prepare(LATEST_DAY).pluck().get({ farm }) as string | null;
}

const LATEST_DAY = `
  SELECT max(d.day) FROM session_day d JOIN session s ON s.n = d.session
  WHERE @farm IS NULL OR coalesce(s.farm, '') = @farm`;

/**
 * Everything of one day, in the order of letting go; null where that day has no crossings.
 *
 * @param day `YYYY-MM-DD` in the site's zone; null for the latest one of that farm.
 * @param farm only sessions of this farm, '' for those that name none; undefined for all.
 */
export function readDay(db: Database.Database, day: string | null, farm?: string): DayBook | null {
  const wanted = day ?? latestDay(db, farm ?? null);
  if (wanted === null) return null;
  const site = db.prepare('SELECT id, zone FROM site').get() as { id: string; zone: string };
  const raws = readCrossings(db, wanted, farm ?? null);
  if (raws.length === 0) return null;
  const said = db.prepare(CORRECTIONS).all({ day: wanted }) as RawCorrection[];
  const days = daysOf(site.zone);
  const factsOf = planReader(db);
  const written = new Map(raws.map((raw) => [raw.id, asWritten(raw, days, factsOf)]));
  const rows = asTheyStand(written, said);
  const sessions = db.prepare(SESSIONS).all({ day: wanted, farm: farm ?? null }) as RawSession[];
  return { siteId: site.id, zone: site.zone, day: wanted, sessions: sessions.map(asSession), rows };
}

/** A session with all its rows in the order of letting go. */
export interface SessionBook {
  session: BookSession;
  rows: BookRow[];
  day: string;
  clock: BookRow['clock'];
}

/** One session; null where there is none of that name. */
export function readSession(db: Database.Database, id: string): SessionBook | null {
  return sessionReader(db)(id, 'all');
}

/**
 * Reads a session that is being written: of the one it read last only the animals named (what was
 * written of them since) and what people said since, so that a long session costs no more at each animal.
 */
export function sessionReader(
  db: Database.Database,
): (id: string, changed: 'all' | readonly number[]) => SessionBook | null {
  let known: { id: string; rows: Map<number, BookRow>; said: (RawCorrection & { n: number })[] };
  known = { id: '', rows: new Map(), said: [] };
  const days = daysOf((db.prepare('SELECT zone FROM site').get() as { zone: string }).zone);
  const factsOf = planReader(db);
  const take = (raws: unknown[]): void => {
    for (const raw of raws as Raw[]) known.rows.set(raw.id, asWritten(raw, days, factsOf));
  };
  return (id, changed) => {
    const raw = db.prepare('SELECT * FROM session WHERE id = ?').get(id) as
      (RawSession & { day: string; clock_set: number }) | undefined;
    if (raw === undefined) return null;
    if (known.id !== id || changed === 'all') {
      known = { id, rows: new Map(), said: [] };
      take(db.prepare(`${OF_SESSION} ORDER BY c.at_ms, c.id`).all({ id }));
    } else {
      const one = db.prepare(
        `${OF_SESSION} AND c.animal = @animal AND c.id = s.n * ${ANIMALS} + @animal`,
      );
      for (const animal of changed) take(one.all({ id, animal }));
    }
    const since = known.said.at(-1)?.n ?? 0;
    known.said.push(...(db.prepare(SAID_OF_SESSION).all({ id, since }) as typeof known.said));
    // Corrections are put into copies: what was written stays as it was.
    const copies = new Map<number, BookRow>();
    for (const [key, row] of known.rows) copies.set(key, { ...row, corrections: [] });
    const rows = asTheyStand(copies, known.said);
    return { session: asSession(raw), rows, day: raw.day, clock: clockOf(raw.clock_set) };
  };
}

/** Rows as written, as they ended, and as people put them right. */
function asTheyStand(byId: Map<number, BookRow>, said: RawCorrection[]): BookRow[] {
  applyCorrections(byId, said);
  const rows = [...byId.values()];
  leaveOutSeenAgain(rows);
  return rows;
}

const OF_SESSION = `
  SELECT c.*, s.id AS session, p.name AS plan_name, p.hash AS plan_hash,
    g.product, g.batch, g.expiry, g.days, g.use, o.ml
  FROM session s CROSS JOIN crossing c ON c.id BETWEEN ${range('s.n')}
    LEFT JOIN plan p ON p.n = c.plan
    LEFT JOIN dose o ON o.crossing = c.id LEFT JOIN given g ON g.n = o.given
  WHERE s.id = @id`;

const SAID_OF_SESSION = `
  SELECT k.n, k.crossing, k.kind, k.value, k.who, k.why
  FROM session s CROSS JOIN correction k ON k.crossing BETWEEN ${range('s.n')}
  WHERE s.id = @id AND k.n > @since ORDER BY k.n`;

// n: in the order in which people said them.
const CORRECTIONS = `
  SELECT k.crossing, k.kind, k.value, k.who, k.why
  FROM session_day d CROSS JOIN correction k ON k.crossing BETWEEN ${range('d.session')}
  WHERE d.day = @day ORDER BY k.n`;

const SESSIONS = `
  SELECT * FROM session s WHERE (@farm IS NULL OR coalesce(s.farm, '') = @farm)
    AND n IN (SELECT session FROM session_day WHERE day = @day) ORDER BY started_ms, n`;

function asWritten(raw: Raw, days: Days, factsOf: (hash: string) => PlanFacts): BookRow {
  const row: BookRow = {
    session: raw.session,
    animal: raw.animal,
    atMs: raw.at_ms,
    localTime: days.localTime(raw.at_ms),
    day: raw.day,
    clock: clockOf(raw.clock_set),
    tag: raw.tag,
    lot: raw.lot,
    exit: raw.exit,
    pen: raw.pen,
    decisionKg: raw.decision_kg,
    recordedKg: raw.recorded_kg,
    uncertaintyKg: raw.uncertainty_kg,
    rule: raw.rule,
    reason: raw.reason,
    revisions: raw.revisions,
    unsure: raw.unsure === 1,
    flags: JSON.parse(raw.flags) as string[],
    marks: JSON.parse(raw.marks) as Mark[],
    enteredT: raw.entered_t,
    letGoT: raw.let_go_t,
    leftT: raw.left_t,
    notCounted: null,
    corrections: [],
    plan: planOf(raw, factsOf),
    given: givenOf(raw),
  };
  if (raw.late !== null) Object.assign(row, JSON.parse(raw.late));
  if (row.exit === null) row.pen = null;
  return row;
}

function planOf({ plan_hash: hash, plan_name: name }: Raw, factsOf: (hash: string) => PlanFacts) {
  return hash === null ? null : { name: name ?? '', hash, ...factsOf(hash) };
}

function clockOf(column: number): BookRow['clock'] {
  return column === 1 ? 'set' : column === 2 ? 'mended' : 'unset';
}

function givenOf({ product, batch, expiry, days, use, ml }: Raw): BookRow['given'] {
  if (product === null) return null;
  return { product, batch: batch ?? '', expiry: expiry ?? '', days, use: use ?? 'label', ml };
}

interface RawSession {
  id: string;
  started_ms: number;
  plan_name: string | null;
  plan: string | null;
  division_kg: number | null;
  farm: string | null;
  holding: string | null;
  flock_mark: string | null;
  mob: string | null;
  field: string | null;
  hours_off_feed: number | null;
  fleece: string | null;
  who: string | null;
}

function asSession(raw: RawSession): BookSession {
  const { id, farm, holding, mob, field, fleece, who } = raw;
  return {
    ...{ id, farm, holding, mob, field, fleece, who },
    startedMs: raw.started_ms,
    planName: raw.plan_name,
    ...planFacts(raw.plan),
    divisionKg: raw.division_kg,
    flockMark: raw.flock_mark,
    hoursOffFeed: raw.hours_off_feed,
  };
}
