/**
 * The tick's interval on the main thread while every commit of the records takes 2 s more, on a real
 * tty with ten readings a second, started: `npx tsx tests/bench/tick.ts [seconds]`.
 */
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { startClock } from '../../src/adapters/clock/clock.ts';
import { createSimulatedBoard } from '../../src/adapters/relays/simulated.ts';
import { loadSite } from '../../src/config/load.ts';
import { startDaemon } from '../../src/daemon.ts';
import { frame } from '../../simulator/frames.ts';
import { openPty } from '../../simulator/pty.ts';

const seconds = Number(process.argv[2] ?? 30);
const folder = mkdtempSync(join(tmpdir(), 'fank-tick-'));
const site = loadSite(folder, { board: 'simulated' });
if (!site.ok) throw new Error('the new site does not load');
const board = createSimulatedBoard(['frontShut']);
board.shown = { frontShut: true };
const intervals: number[] = [];
let before: number | null = null;
const read = board.read.bind(board);
board.read = () => {
  const now = performance.now();
  if (before !== null) intervals.push(now - before);
  before = now;
  return read();
};
const pty = openPty();
const daemon = await startDaemon({
  site: site.value,
  facts: { listOf: () => null, treatments: [] },
  config: { ...site.value.config, inputs: ['frontShut'], keepAliveProved: true },
  version: '0',
  clock: startClock(),
  board,
  scalePort: pty.path,
  page: null,
  say: () => undefined,
  slowRecordsMs: 2000,
});
const { loop, records } = daemon;
let saved = 0;
records.onSaved(() => (saved += 1));
const weighing = setInterval(() => {
  // A lamb of 35 kg every five seconds, let go by hand gates after four.
  const place = (performance.now() % 5000) / 1000;
  board.shown = { frontShut: place < 4 };
  pty.write(frame(place > 0.5 && place < 4.2 ? 35 : 0, false));
}, 100);
const turn = (): void => {
  loop.pump();
  timer = setTimeout(turn, loop.untilTick());
};
let timer = setTimeout(turn, 0);
setTimeout(() => {
  loop.command({ do: 'start' });
  loop.command({ do: 'confirm' });
}, 1500);
setTimeout(() => {
  clearTimeout(timer);
  clearInterval(weighing);
  intervals.sort((a, b) => a - b);
  const at = (share: number): string =>
    (intervals[Math.floor(intervals.length * share)] ?? 0).toFixed(1);
  process.stdout.write(
    `tick interval, ms: p50 ${at(0.5)}, p99 ${at(0.99)}, p99.9 ${at(0.999)}, worst ` +
      `${(intervals.at(-1) ?? 0).toFixed(1)} (${intervals.length} ticks, ${loop.counts.late} late, ` +
      `${saved} rows saved with 2 s a commit; aim p99.9 30, worst 60; Node ${process.version})\n`,
  );
  void daemon.close().then(() => {
    pty.close();
    rmSync(folder, { recursive: true, force: true });
  });
}, seconds * 1000);
