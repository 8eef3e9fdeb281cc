/**
 * From the last byte of the frame that decides a lamb to the relay's output, over a real tty, with
 * the records at work: `npx tsx tests/bench/latency.ts [lambs]`. The relays are simulated; the ioctl of a
 * real chip comes on top.
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

const lambs = Number(process.argv[2] ?? 200);
const PERIOD_MS = 100;
/** One lamb: walks on, stands, is let go, is gone; ms. */
const LAMB_MS = 5000;
const folder = mkdtempSync(join(tmpdir(), 'fank-latency-'));
const site = loadSite(folder, { board: 'simulated' });
if (!site.ok) throw new Error('the new site does not load');
const board = createSimulatedBoard(['frontShut']);
board.shown = { frontShut: true };
const gate = site.value.config.gate;
// No leaf rests for its duty's sake, nor is there a warning: those waits are meant, and not what is measured.
const config = {
  ...site.value.config,
  inputs: ['frontShut'],
  keepAliveProved: true,
  gate: {
    ...gate,
    warnMs: { first: 0, later: 0 },
    leaves: gate.leaves.map((leaf) => ({ ...leaf, duty: null })),
  },
};
const pty = openPty();
const daemon = await startDaemon({
  site: site.value,
  facts: { listOf: () => null, treatments: [] },
  config,
  version: '0',
  clock: startClock(),
  board,
  scalePort: pty.path,
  page: null,
  say: () => undefined,
});
const { loop } = daemon;

let sentAt = 0;
let waiting = false;
let strokes = 0;
const delays: number[] = [];
const write = board.write.bind(board);
board.write = (levels) => {
  const taken = write(levels);
  const on = Object.entries(levels).some(([name, level]) => level && name.startsWith('leaf'));
  if (waiting && on) {
    delays.push(performance.now() - sentAt);
    waiting = false;
  }
  return taken;
};
loop.onEvents((events) => {
  strokes += events.filter((event) => event.kind === 'stroke' && event.phase === 'begun').length;
});

const begin = performance.now();
const weighing = setInterval(() => {
  // After homing: light, heavy, light, heavy, so that each one's decision moves both leaves.
  const since = performance.now() - begin - 5000;
  const lamb = Math.floor(since / LAMB_MS);
  if (lamb >= lambs) {
    finish();
    return;
  }
  const place = since - lamb * LAMB_MS;
  const on = since > 0 && place > 500 && place < 3900;
  if (on && place < 500 + PERIOD_MS) waiting = true;
  board.shown = { frontShut: since < 0 || place < 3600 || place > 4200 };
  const bytes = frame(on ? ([35, 55][lamb % 2] ?? 0) : 0, false);
  sentAt = performance.now();
  pty.write(bytes);
}, PERIOD_MS);
const turn = (): void => {
  loop.pump();
  timer = setTimeout(turn, loop.untilTick());
};
let timer = setTimeout(turn, 0);
setTimeout(() => {
  loop.command({ do: 'start' });
  loop.command({ do: 'confirm' });
}, 1500);

function finish(): void {
  clearTimeout(timer);
  clearInterval(weighing);
  delays.sort((a, b) => a - b);
  const at = (share: number): string =>
    (delays[Math.min(delays.length - 1, Math.floor(delays.length * share))] ?? NaN).toFixed(2);
  process.stdout.write(
    `last byte written to relay on, ms: p50 ${at(0.5)}, p99 ${at(0.99)}, worst ${at(1)} ` +
      `(${delays.length} of ${lambs} lambs, ${strokes} strokes, ${loop.counts.late} late ticks; aim p99 5; Node ${process.version})\n`,
  );
  void daemon.close().then(() => {
    pty.close();
    rmSync(folder, { recursive: true, force: true });
  });
}
