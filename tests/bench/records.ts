/**
 * The day book after ten years: 1,000,000 crossings of two farms, 5,000 tags. Prints one JSON line.
 * `npx tsx tests/bench/records.ts [CROSSINGS]`
 */
import { mkdtempSync, rmSync, statSync } from 'node:fs';
import { cpus, tmpdir } from 'node:os';
import { join } from 'node:path';
import type Database from 'better-sqlite3';
import { bookCsv } from '../../src/adapters/records/csv.ts';
import { readDay } from '../../src/adapters/records/day-book.ts';
import { eveningOf } from '../../src/adapters/records/evening.ts';
import { dayGains } from '../../src/adapters/records/gain.ts';
import { lastWeights } from '../../src/adapters/records/last-weights.ts';
import type { RowMessage } from '../../src/adapters/records/messages.ts';
import { openForReading } from '../../src/adapters/records/reader.ts';
import { ANIMALS, bookPath, openForWriting } from '../../src/adapters/records/schema.ts';
import { openStore } from '../../src/adapters/records/store.ts';

const CROSSINGS = Number(process.argv[2] ?? 1_000_000);
const SESSION = 1000;
const TAGS = 5000;
const DAYS = 3650;
const START = Date.UTC(2016, 0, 1, 9);

/** One session of `SESSION` animals of one of two farms. */
function sessionRows(index: number, day: number): RowMessage[] {
  const startMs = START + day * 86_400_000;
  const farm = index % 2 === 0 ? 'Low Fold' : 'Hill End';
  const id = `S${index}`;
  const wall = (n: number) => ({ atMs: startMs + n * 10_000, clockSet: true });
  const said = {
    holding: null,
    flockMark: null,
    mob: null,
    field: null,
    hoursOffFeed: 2,
    fleece: null,
    who: null,
  };
  const session = { id, plan: null, divisionKg: 0.1, farm, ...said };
  const animals = Array.from({ length: SESSION }, (_, n): RowMessage => {
    const t = n * 10_000;
    const tag = `9990000000${String((n * 7 + index * 131) % TAGS).padStart(5, '0')}`;
    const kg = 30 + ((n * 37 + index * 11) % 200) / 10;
    const crossing = {
      ...{
        animal: n + 1,
        session: id,
        tag,
        lot: kg < 40 ? 'Stores' : 'Fit',
        exit: kg < 40 ? 'left' : 'ahead',
      },
      ...{
        enteredAt: t,
        firstDecidedAt: t + 1500,
        decidedAt: t + 1500,
        letGoAt: t + 4000,
        leftAt: null,
      },
      ...{ decisionKg: kg, recordedKg: kg, uncertaintyKg: 0.12, rule: 'settled' as const },
      ...{
        reason: `${kg} kg settled: 40 kg and more is Fit`,
        revisions: 0,
        unsure: false,
        flags: [],
        marks: [],
      },
    };
    return { kind: 'crossing', session: id, crossing, final: false, wall: wall(n) };
  });
  return [{ kind: 'session', session, wall: wall(0) }, ...animals];
}

const NO_MORE = { killingOut: null, targetKg: null };

interface Timed {
  medianMs: number;
  worstMs: number;
  /** Processor time, mean: what a busy machine does not add to. */
  processorMs: number;
}

/** How long `work` takes with each of the given. */
function timed<T>(given: readonly T[], work: (each: T) => unknown): Timed {
  const used = process.cpuUsage();
  const times = given
    .map((each) => {
      const begun = performance.now();
      work(each);
      return performance.now() - begun;
    })
    .sort((a, b) => a - b);
  const { user, system } = process.cpuUsage(used);
  const round = (ms = NaN): number => Math.round(ms * 100) / 100;
  return {
    medianMs: round(times[times.length >> 1]),
    worstMs: round(times.at(-1)),
    processorMs: round((user + system) / 1000 / given.length),
  };
}

/**
 * The sessions written so far once more, `days` later: as the store would write them, at the speed
 * of SQL.
 */
function repeat(db: Database.Database, sessions: number, days: number): void {
  const [n, ms] = [sessions, days * 86_400_000];
  const day = (column: string): string => `date((${column} + ${ms}) / 1000, 'unixepoch')`;
  db.exec(`
    CREATE TEMP TABLE s AS SELECT * FROM session WHERE n <= ${n};
    UPDATE s SET n = n + (SELECT max(n) FROM main.session), started_ms = started_ms + ${ms},
      day = ${day('started_ms')}, seen = 1;
    UPDATE s SET id = 'S' || n;
    INSERT INTO session SELECT * FROM s;
    CREATE TEMP TABLE c AS SELECT * FROM crossing WHERE session <= ${n};
    UPDATE c SET at_ms = at_ms + ${ms}, day = ${day('at_ms')},
      id = id + (SELECT max(n) - ${n} FROM main.session) * ${ANIMALS},
      session = session + (SELECT max(n) - ${n} FROM main.session);
    INSERT INTO crossing SELECT * FROM c;
    INSERT OR IGNORE INTO session_day SELECT DISTINCT day, session FROM c;
    INSERT OR IGNORE INTO seen SELECT tag, id FROM c ORDER BY tag;
    DROP TABLE s; DROP TABLE c;`);
}

const siteDir = mkdtempSync(join(tmpdir(), 'fank-million-'));
const writing = openForWriting(siteDir, 'Europe/London');
const store = openStore(writing, 'Europe/London', '0.1.0');
const once = Math.min(20, Math.ceil(CROSSINGS / SESSION));
const times = Math.ceil(CROSSINGS / SESSION / once);
const begun = performance.now();
for (let index = 0; index < once; index += 1) {
  store.write(sessionRows(index, Math.floor((DAYS / times) * (index / once))));
}
for (let n = 1; n < times; n += 1) repeat(writing, once, Math.floor((DAYS / times) * n));
const fillSeconds = (performance.now() - begun) / 1000;
writing.close();

const opened = timed([0], () => openForReading(siteDir).close());
const db = openForReading(siteDir);
const days = db
  .prepare('SELECT DISTINCT day FROM session_day ORDER BY day')
  .pluck()
  .all() as string[];
const asked = Array.from({ length: 60 }, (_, i) => days[(i * 617) % days.length] ?? '');
const book = (day: string) =>
  readDay(db, day) ?? { siteId: '', zone: '', day, sessions: [], rows: [] };
const sizes = asked.map((day) => book(day).rows.length);
const result = {
  crossings: db.prepare('SELECT count(*) FROM crossing').pluck().get(),
  animalsADay: [Math.min(...sizes), Math.max(...sizes)],
  fillSeconds: Math.round(fillSeconds),
  fileMiB: Math.round(statSync(bookPath(siteDir)).size / 2 ** 20),
  open: opened,
  latestDay: timed(asked, () => readDay(db, null)),
  dayPage: timed(asked, book),
  dayAndCsv: timed(asked, (day) => bookCsv(book(day))),
  dayAndFlockGain: timed(asked, (day) => dayGains(db, book(day))),
  dayAndEvening: timed(asked, (day) => eveningOf(db, book(day), NO_MORE)),
  lastWeights: timed([0, 0, 0], () => lastWeights(db)),
  node: process.version,
  processor: cpus()[0]?.model,
};
db.close();
rmSync(siteDir, { recursive: true });
process.stdout.write(`${JSON.stringify(result)}\n`);
