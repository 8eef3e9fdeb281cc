import type Database from 'better-sqlite3';
import type { Pace } from '../evening.ts';
import { daysOf } from './day.ts';
import type { DayBook } from './day-book.ts';

const MINUTE_MS = 60_000;
const QUARTER_MS = 15 * MINUTE_MS;
/** Less sorting than this says nothing of an hour. */
const LEAST_MS = MINUTE_MS;

interface RawEvent {
  session: string;
  atMs: number;
  kind: 'mode' | 'fault' | 'battery';
  detail: string;
}

interface Span {
  fromMs: number;
  toMs: number;
  mode: string;
  why: string;
}

/** How the day went: animals an hour while sorting, what stopped the race and for how long, faults. */
export function paceOf(db: Database.Database, book: DayBook): Pace {
  const { localTime } = daysOf(book.zone);
  const clock = (atMs: number): string => localTime(atMs).slice(11, 16);
  const events = book.sessions.flatMap(
    ({ id }) => db.prepare(EVENTS).all({ day: book.day, session: id }) as RawEvent[],
  );
  const spans = book.sessions.flatMap(({ id }) => spansOf(book, events, id));
  const sum = (which: Span[]): number =>
    which.reduce((ms, { fromMs, toMs }) => ms + toMs - fromMs, 0);
  const sortingMs = sum(spans.filter(isSorting));
  return {
    anHour: sortingMs < LEAST_MS ? null : (book.rows.length * 3_600_000) / sortingMs,
    sortingMinutes: sortingMs / MINUTE_MS,
    minutes: sum(spans) / MINUTE_MS,
    quarters: quartersOf(book),
    stops: spans
      .filter((span) => !isSorting(span))
      .map(({ fromMs, toMs, mode, why }) => ({
        time: clock(fromMs),
        minutes: (toMs - fromMs) / MINUTE_MS,
        mode,
        why,
      })),
    faults: faultsOf(events, clock),
    battery: batteryOf(events, clock),
  };
}

const EVENTS = `
  SELECT s.id AS session, e.at_ms AS atMs, e.kind, e.detail
  FROM event e JOIN session s ON s.n = e.session
  WHERE e.day = @day AND s.id = @session AND e.kind IN ('mode', 'fault', 'battery')
  ORDER BY e.n`;

function isSorting({ mode }: Span): boolean {
  return mode === 'running' || mode === 'homing';
}

/**
 * What a session did, from its first start until its last animal. A stop after which no animal came
 * is the end of the work.
 */
function spansOf(book: DayBook, events: RawEvent[], session: string): Span[] {
  const rows = book.rows.filter((row) => row.session === session);
  const [first, last] = [rows[0], rows.at(-1)];
  if (first === undefined || last === undefined) return [];
  const modes = events
    .filter((event) => event.session === session && event.kind === 'mode')
    .map(({ atMs, detail }) => ({
      atMs,
      ...(JSON.parse(detail) as { mode: string; why: string }),
    }));
  const start = modes.findIndex((mode) => isSorting({ ...mode, fromMs: 0, toMs: 0 }));
  if (start < 0) {
    return [{ fromMs: first.atMs, toMs: last.atMs, mode: 'running', why: '' }];
  }
  return modes.slice(start).flatMap(({ atMs, mode, why }, i) => {
    const toMs = Math.min(modes[start + i + 1]?.atMs ?? Infinity, last.atMs);
    return toMs <= atMs ? [] : [{ fromMs: atMs, toMs, mode, why }];
  });
}

function quartersOf(book: DayBook): Pace['quarters'] {
  const of = (atMs: number): number => Math.floor(atMs / QUARTER_MS);
  const [first, last] = [book.rows[0], book.rows.at(-1)];
  if (first === undefined || last === undefined) return [];
  const [from, to] = [of(first.atMs), of(last.atMs)];
  const quarters = Array.from({ length: to - from + 1 }, (_, i) => ({
    atMs: (from + i) * QUARTER_MS,
    head: 0,
  }));
  for (const row of book.rows) {
    const quarter = quarters[of(row.atMs) - from];
    if (quarter !== undefined) quarter.head += 1;
  }
  return quarters;
}

function faultsOf(events: RawEvent[], clock: (atMs: number) => string): Pace['faults'] {
  const found = new Map<string, Pace['faults'][number]>();
  for (const { kind, atMs, detail } of events) {
    if (kind !== 'fault') continue;
    const { fault, on } = JSON.parse(detail) as { fault: string; on: boolean };
    if (!on) continue;
    const one = found.get(fault);
    if (one === undefined) found.set(fault, { fault, times: 1, first: clock(atMs) });
    else one.times += 1;
  }
  return [...found.values()];
}

/** The first of each quarter of an hour: how the battery went down over the day. */
function batteryOf(events: RawEvent[], clock: (atMs: number) => string): Pace['battery'] {
  const told = events.filter(({ kind }) => kind === 'battery');
  const quarter = (event: RawEvent | undefined): number | null =>
    event === undefined ? null : Math.floor(event.atMs / QUARTER_MS);
  return told
    .filter((event, i) => quarter(event) !== quarter(told[i - 1]))
    .map(({ atMs, detail }) => {
      const { restVolts, movingVolts } = JSON.parse(detail) as {
        restVolts: number;
        movingVolts: number | null;
      };
      return { time: clock(atMs), restVolts, movingVolts };
    });
}
