/**
 * The keep-alive of the whole daemon, timed from outside the process, while lambs pass, every commit takes 2 s
 * more, a page out of a million rows is asked for and wrong PINs are tried; then with each of its threads blocked
 * in turn; and the stop loop's short pulse.
 */
import { spawn, type ChildProcess } from 'node:child_process';
import { readdirSync } from 'node:fs';
import { setPriority } from 'node:os';
import { createInterface } from 'node:readline';
import { frame } from '../../simulator/frames.ts';
import { openPty, type Pty } from '../../simulator/pty.ts';
import {
  contact,
  lastMode,
  moving,
  startService,
  stayedStill,
  wire,
  type Service,
} from './bench.ts';
import { check, pause, until } from './check.ts';
import { stopThread } from './one-thread.ts';
import { KEEP_ALIVE } from './wiring.ts';

const WATCHED_MS = Number(process.env['BEATS_MS'] ?? 600_000);
const MOST_APART_MS = 100;
const BLOCKED_MS = 1000;

export async function tryBeats(): Promise<void> {
  const head = openPty();
  const service = await startService(['/t/whole.mjs', head.path]);
  const lambs = drive(head, service);
  const askers = await startAskers();
  const silent = await edges(500);
  check(silent.length === 0, 'the keep-alive is silent before a start');
  await begin(service);
  await watch(service, askers);
  await blockThreads(service);
  await begin(service);
  contact('stopLoop', false);
  await pause(5);
  contact('stopLoop', true);
  const stopped = await service.mode('fault');
  const fault = service.said.findLast((one) => one.fault === 'stop-pressed');
  check(stopped && fault !== undefined, 'a 5 ms pulse of the stop loop latches stop-pressed');
  check((await edges(500)).length === 0, 'and silences the keep-alive');
  clearInterval(lambs);
  service.process.kill('SIGTERM');
  await service.ended;
  head.close();
}

async function begin(service: Service): Promise<void> {
  for (const command of ['clear', 'start', 'confirm']) service.tell({ do: command });
  if (!(await service.mode('running'))) {
    check(false, `runs after a start: ${JSON.stringify(service.said.slice(-8))}`);
  }
}

/**
 * While the race runs a lamb every seven seconds, light and heavy by turns: readings, the front and the lane's
 * beam. Else the crate is empty and all is shut and clear.
 */
function drive(head: Pty, service: Service): NodeJS.Timeout {
  let ranAt: number | null = null;
  let confirmed = 0;
  return setInterval(() => {
    // After fifty strokes without end switches somebody has to look at the gate, and does.
    const asked = service.said.filter((one) => one.fault === 'position-unproved' && one.on).length;
    if (asked > confirmed) service.tell({ do: 'confirm' });
    confirmed = asked;
    if (lastMode(service.said) !== 'running') ranAt = null;
    else ranAt ??= performance.now() + 1000;
    const since = ranAt === null ? -1 : performance.now() - ranAt;
    const place = since < 0 ? 0 : since % 7000;
    const kg = place > 500 && place < 4000 ? [35, 55][Math.floor(since / 7000) % 2] : 0;
    contact('frontShut', place < 3600 || place > 4800);
    contact('laneClear', place < 4000 || place > 4600);
    head.write(frame(kg ?? 0, false));
  }, 100);
}

interface Askers {
  process: ChildProcess;
  /** What they said at their end. */
  asked: string;
}

/** Phones on the network: what they cost is not the Pi's, so they step back for everything else. */
async function startAskers(): Promise<Askers> {
  const child = spawn(process.execPath, ['/t/askers.mjs'], {
    stdio: ['ignore', 'pipe', 'inherit'],
  });
  setPriority(child.pid ?? 0, 19);
  const askers: Askers = { process: child, asked: '' };
  createInterface({ input: child.stdout }).on('line', (text) => (askers.asked = text));
  if (!(await until(() => askers.asked !== '', 120_000))) check(false, 'the page answers');
  return askers;
}

async function watch(service: Service, askers: Askers): Promise<void> {
  const from = service.said.length;
  const gaps = await edges(WATCHED_MS);
  const ended = new Promise((done) => askers.process.once('exit', done));
  askers.process.kill('SIGTERM');
  await ended;
  gaps.sort((a, b) => a - b);
  const at = (part: number): string =>
    (gaps[Math.min(gaps.length - 1, Math.floor(part * gaps.length))] ?? NaN).toFixed(1);
  check(
    gaps.length > WATCHED_MS / 40 && Number(at(1)) <= MOST_APART_MS,
    `keep-alive from outside for ${WATCHED_MS / 1000} s: ${gaps.length} edges, apart p50 ${at(0.5)} p99 ${at(0.99)} ` +
      `p99.9 ${at(0.999)} worst ${at(1)} ms`,
  );
  const said = service.said.slice(from);
  const count = (kind: string): number => said.filter((one) => one.kind === kind).length;
  const faults = said.filter((one) => one.kind === 'fault' && one.on === true);
  // The newest lamb may be in its commit yet.
  const wrong = faults.filter((one) => one.fault !== 'position-unproved');
  check(
    count('let-go') > 0 && count('saved') >= count('let-go') - 1 && wrong.length === 0,
    `meanwhile ${count('let-go')} lambs let go, ${count('saved')} saved, ${askers.asked}, faults ${JSON.stringify(faults.map((one) => one.fault))}`,
  );
}

/** Each thread in turn stands still; the main one last. */
async function blockThreads(service: Service): Promise<void> {
  const main = service.process.pid ?? 0;
  const threads = readdirSync(`/proc/${main}/task`).map(Number);
  const others = threads.filter((tid) => tid !== main);
  // What looks on has been compiled before it counts: this processor is theirs together.
  stopThread(others[0] ?? 0)();
  await Promise.all([answers(), longestSilence(200)]);
  for (const [n, tid] of [...others, main].entries()) {
    if (service.said.findLast((one) => one.kind === 'mode')?.mode !== 'running')
      await begin(service);
    const from = service.said.length;
    const goOn = stopThread(tid);
    const page = answers();
    const gap = await longestSilence(BLOCKED_MS);
    goOn();
    const answered = await page;
    const quick = gap <= MOST_APART_MS;
    // The main thread can wait for a helper that stands still in the midst of a garbage collection. Silence is right
    // too, if the machine has noticed: no motion after the first tick, until a fresh start.
    const held = quick || ((await service.mode('fault')) && !moving() && (await stayedStill(1200)));
    const named = service.said.slice(from).filter((one) => one.kind === 'fault' && one.on === true);
    check(
      held && !(quick && tid === main),
      `thread ${n + 1} of ${threads.length}${tid === main ? ' (main)' : ''} blocked for ${BLOCKED_MS} ms: keep-alive ` +
        `silent for ${gap.toFixed(0)} ms at most, the page ${answered ? 'answers' : 'does not answer'}, ` +
        `faults ${JSON.stringify(named.map((one) => one.fault))}`,
    );
    await pause(500);
  }
}

/** Whether the page answers while it is looked. */
async function answers(): Promise<boolean> {
  return fetch('http://127.0.0.1:8080/healthz', {
    signal: AbortSignal.timeout(BLOCKED_MS - 200),
  }).then(
    async (answer) => {
      await answer.arrayBuffer();
      return true;
    },
    () => false,
  );
}

/** Times between edges of the keep-alive's wire, ms; looked at about every 2 ms. */
async function edges(ms: number): Promise<number[]> {
  const gaps: number[] = [];
  let last: number | null = null;
  await eachEdge(ms, (now) => {
    if (last !== null) gaps.push(now - last);
    last = now;
  });
  return gaps;
}

/** The longest time without an edge within so long, ms. */
async function longestSilence(ms: number): Promise<number> {
  let last = performance.now();
  let longest = 0;
  await eachEdge(ms, (now) => {
    longest = Math.max(longest, now - last);
    last = now;
  });
  return Math.max(longest, performance.now() - last);
}

async function eachEdge(ms: number, tell: (now: number) => void): Promise<void> {
  const begin = performance.now();
  let level = wire(KEEP_ALIVE);
  await until(() => {
    const now = performance.now();
    const seen = wire(KEEP_ALIVE);
    if (seen !== level) tell(now);
    level = seen;
    return now - begin >= ms;
  }, ms + 1000);
}
