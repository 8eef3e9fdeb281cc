/**
 * The whole service (weigh head on a real tty, gate, day book, trace, page) killed with SIGKILL at
 * random moments of a race at twenty times the pace, on one folder, with the page and its day book
 * being read meanwhile. After each kill: the day book whole, every animal that the page had shown as
 * saved there and as it was shown, none twice, the totals equal to the sum, every whole line of every
 * trace readable.
 * `npx tsx tests/bench/kill-daemon.ts KILLS SEED [COMPILED-MAIN.js]`. Ends with one JSON line; exit 1
 * where anything was lost or damaged.
 */
import { spawn, type ChildProcess } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import Database from 'better-sqlite3';
import type { LiveNow } from '../../src/adapters/page/messages.ts';
import { lotSummaries, counted } from '../../src/adapters/records/lots.ts';
import { readDay, latestDay } from '../../src/adapters/records/day-book.ts';
import { openForReading } from '../../src/adapters/records/reader.ts';
import { traceFindings } from '../adapters/records/killing.ts';

const [kills = '50', seed = '1', compiled] = process.argv.slice(2);
const source = fileURLToPath(new URL('../../src/cli/main.ts', import.meta.url));
const FANK = compiled === undefined ? ['--import', 'tsx', source] : [compiled];
/** Up to this long after the first animal is shown as saved, ms. */
const KILL_WITHIN_MS = 4000;

let state = Number(seed) >>> 0 || 1;
/** A number from 0 up to, not including, `below` (xorshift). */
function random(below: number): number {
  state ^= state << 13;
  state ^= state >>> 17;
  state ^= state << 5;
  state >>>= 0;
  return state % below;
}

/** What the page showed of an animal that was let go. */
interface Shown {
  session: string;
  animal: number;
  kg: number | null;
  lot: string | null;
  exit: string | null;
  saved: boolean;
}

/** Starts the race; settles with the address of the page. */
function start(siteDir: string, run: number): Promise<{ child: ChildProcess; url: string }> {
  const given = ['--animals', '100000', '--exit', '--pace', '20', '--port', '0', '--json'];
  const child = spawn(
    process.execPath,
    [...FANK, 'demo', ...given, '--seed', String(Number(seed) * 1000 + run), '--site', siteDir],
    { stdio: ['ignore', 'ignore', 'pipe'] },
  );
  return new Promise((resolve, reject) => {
    let text = '';
    child.stderr.on('data', (data: Buffer) => {
      text += data.toString();
      const port = /Page: http:\/\/[^:]+:(\d+)\//.exec(text)?.[1];
      if (port !== undefined) resolve({ child, url: `http://127.0.0.1:${port}` });
    });
    child.on('exit', (code) => {
      reject(new Error(`Fank ended by itself with ${String(code)}: ${text}`));
    });
  });
}

/** Follows the live stream until the service dies; `first` settles with the first saved animal. */
async function follow(url: string, shown: Map<string, Shown>, first: () => void): Promise<void> {
  const response = await fetch(`${url}/api/live`);
  let text = '';
  try {
    for await (const bytes of response.body ?? []) {
      text += Buffer.from(bytes as Uint8Array).toString();
      const frames = text.split('\n\n');
      text = frames.pop() ?? '';
      for (const frame of frames) {
        const data = /^event: now\ndata: (.*)$/m.exec(frame)?.[1];
        if (data !== undefined) note(JSON.parse(data) as LiveNow, shown, first);
      }
    }
  } catch {
    // The line is cut: the service is dead.
  }
}

function note(now: LiveNow, shown: Map<string, Shown>, first: () => void): void {
  const session = String(now.session);
  for (const { animal, kg, lot, exit, saved } of now.last) {
    shown.set(`${session}/${animal}`, { session, animal, kg, lot, exit, saved });
    if (saved) first();
  }
}

/** Asks for the day book again and again, as open pages do. */
async function read(url: string, alive: () => boolean): Promise<void> {
  while (alive()) {
    await fetch(`${url}/api/now`).then(
      (r) => r.text(),
      () => '',
    );
    await fetch(`${url}/api/book`).then(
      (r) => r.text(),
      () => '',
    );
  }
}

async function killOnce(siteDir: string, run: number, shown: Map<string, Shown>): Promise<number> {
  const { child, url } = await start(siteDir, run);
  const dead = new Promise<void>((resolve) => {
    child.removeAllListeners('exit').on('exit', () => {
      resolve();
    });
  });
  const first = new Promise<void>((resolve) => {
    void follow(url, shown, resolve);
  });
  void read(url, () => child.exitCode === null && child.signalCode === null);
  await first;
  const afterMs = random(KILL_WITHIN_MS);
  await new Promise((resolve) => setTimeout(resolve, afterMs));
  child.kill('SIGKILL');
  await dead;
  return afterMs;
}

interface Row extends Omit<Shown, 'saved'> {
  tag: string | null;
}

/** What a look through the folder found wrong; nothing, if all is well. */
function findings(siteDir: string, shown: Map<string, Shown>): string[] {
  const writing = new Database(join(siteDir, 'fank.db'));
  const integrity = writing.pragma('integrity_check', { simple: true });
  const rows = writing
    .prepare(
      `SELECT s.id AS session, c.animal, c.recorded_kg AS kg, c.lot, c.exit, c.tag
       FROM crossing c JOIN session s ON s.n = c.session`,
    )
    .all() as Row[];
  const sum = writing.prepare('SELECT total(recorded_kg) FROM crossing').pluck().get() as number;
  writing.close();
  const there = new Map(rows.map((row) => [`${row.session}/${row.animal}`, row]));
  const wrong = [...shown.values()].flatMap((one) => {
    const row = there.get(`${one.session}/${one.animal}`);
    if (row === undefined)
      return one.saved ? [`${one.session}/${one.animal} was shown as saved and is lost`] : [];
    return row.kg === one.kg && row.lot === one.lot && row.exit === one.exit
      ? []
      : [`${one.session}/${one.animal} is not as it was shown`];
  });
  const total = rows.reduce((all, { kg }) => all + (kg ?? 0), 0);
  return [
    ...(integrity === 'ok' ? [] : [`integrity: ${String(integrity)}`]),
    ...wrong,
    ...(there.size === rows.length ? [] : ['one is there twice']),
    ...(Math.abs(total - sum) < 1e-6 ? [] : [`total ${sum} kg, should be ${total} kg`]),
    ...bookFindings(siteDir, rows.length),
    ...traceFindings(siteDir),
  ];
}

/** Does what people are shown add up to the rows? */
function bookFindings(siteDir: string, rows: number): string[] {
  const db = openForReading(siteDir);
  try {
    const days = db.prepare('SELECT DISTINCT day FROM session_day').pluck().all() as string[];
    const books = days.map((day) => readDay(db, day)).filter((book) => book !== null);
    const inBooks = books.reduce((sum, book) => sum + book.rows.length, 0);
    const heads = books.map((book) => [
      counted(book).length,
      lotSummaries(book).reduce((sum, { head }) => sum + head, 0),
    ]);
    return [
      ...(latestDay(db) === null ? ['the day book names no day'] : []),
      ...(inBooks === rows ? [] : [`${inBooks} animals in the books, ${rows} in the table`]),
      ...heads.flatMap(([day, lots]) => (day === lots ? [] : [`head ${day}, in lots ${lots}`])),
    ];
  } finally {
    db.close();
  }
}

const siteDir = mkdtempSync(join(tmpdir(), 'fank-daemon-kill-'));
const shown = new Map<string, Shown>();
const result = { kills: 0, wrong: [] as string[] };
while (result.kills < Number(kills) && result.wrong.length === 0) {
  const afterMs = await killOnce(siteDir, result.kills, shown);
  result.kills += 1;
  for (const found of findings(siteDir, shown))
    result.wrong.push(`kill ${result.kills}, ${afterMs} ms after the first was saved: ${found}`);
}
const counts = {
  shown: shown.size,
  shownAsSaved: [...shown.values()].filter(({ saved }) => saved).length,
  inTheBook: countRows(),
};
process.stdout.write(`${JSON.stringify({ seed: Number(seed), ...result, ...counts })}\n`);
process.exitCode = result.wrong.length > 0 ? 1 : 0;
if (result.wrong.length === 0) rmSync(siteDir, { recursive: true });
else process.stderr.write(`kept: ${siteDir}\n`);

function countRows(): number {
  const db = openForReading(siteDir);
  try {
    return db.prepare('SELECT count(*) FROM crossing').pluck().get() as number;
  } finally {
    db.close();
  }
}
