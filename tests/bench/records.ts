/**
 * The day book after ten years: 1,000,000 crossings of two farms, 5,000 tags. Prints one JSON line.
 * `npx tsx tests/bench/records.ts [CROSSINGS]`
 */
import { mkdtempSync, rmSync, statSync } from 'node:fs';
import { cpus, tmpdir } from 'node:os';
import { join } from 'node:path';
import { bookCsv } from '../../src/adapters/records/csv.ts';
import { readDay } from '../../src/adapters/records/day-book.ts';
import { eveningOf } from '../../src/adapters/records/evening.ts';
import { dayGains } from '../../src/adapters/records/gain.ts';
import { lastWeights } from '../../src/adapters/records/last-weights.ts';
import { openForReading } from '../../src/adapters/records/reader.ts';
import { bookPath } from '../../src/adapters/records/schema.ts';
import { fillTenYears } from './ten-years.ts';

const CROSSINGS = Number(process.argv[2] ?? 1_000_000);

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

const siteDir = mkdtempSync(join(tmpdir(), 'fank-million-'));
const begun = performance.now();
fillTenYears(siteDir, CROSSINGS);
const fillSeconds = (performance.now() - begun) / 1000;

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
