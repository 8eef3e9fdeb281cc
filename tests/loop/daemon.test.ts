import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { startClock } from '../../src/adapters/clock/clock.ts';
import { createSimulatedBoard, type SimulatedBoard } from '../../src/adapters/relays/simulated.ts';
import { isMotionOutput } from '../../src/config/board-checks.ts';
import { loadSite } from '../../src/config/load.ts';
import type { Event } from '../../src/core/trace.ts';
import { startDaemon, type Daemon } from '../../src/daemon.ts';
import { frame } from '../../simulator/frames.ts';
import { openPty, stableName, type Pty } from '../../simulator/pty.ts';

/** The real daemon on a real tty, a real day book and real time; only the board is simulated. */
let folder = '';
let ends: (() => Promise<void> | void)[] = [];
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'fank-daemon-'));
  ends = [];
});
afterEach(async () => {
  for (const end of ends.reverse()) await end();
  rmSync(folder, { recursive: true, force: true });
});

interface Bench {
  daemon: Daemon;
  board: SimulatedBoard;
  events: Event[];
  /** Weight on the simulated load bars from now on, kg. */
  kg: number;
  line: Pty | null;
  cut(): void;
  giveBack(): void;
}

async function bench(slowRecordsMs = 0): Promise<Bench> {
  const loaded = loadSite(join(folder, 'site'), { board: 'simulated' });
  if (!loaded.ok) throw new Error('the new site does not load');
  const name = stableName(join(folder, 'weigh-head'));
  const board = createSimulatedBoard(['frontShut']);
  board.shown = { frontShut: true };
  const duty = loaded.value.config.gate.leaves.map((leaf) => ({ ...leaf, duty: null }));
  const gate = { ...loaded.value.config.gate, leaves: duty };
  const b: Bench = {
    daemon: null as unknown as Daemon,
    board,
    events: [],
    kg: 0,
    line: null,
    cut: () => {
      b.line?.write(frame(41, false).slice(0, 7));
      b.line?.close();
      b.line = null;
    },
    giveBack: () => {
      b.line = openPty();
      name.pointAt(b.line.path);
    },
  };
  b.giveBack();
  b.daemon = await startDaemon({
    site: loaded.value,
    facts: { listOf: () => null, treatments: [] },
    config: { ...loaded.value.config, inputs: ['frontShut'], gate, keepAliveProved: true },
    version: '0',
    clock: startClock(),
    board,
    scalePort: name.path,
    page: null,
    say: () => undefined,
    slowRecordsMs,
  });
  const { loop } = b.daemon;
  loop.onEvents((events) => b.events.push(...events));
  const ticking = setInterval(() => {
    loop.pump();
  }, 5);
  const weighing = setInterval(() => {
    b.line?.write(frame(b.kg, false));
  }, 100);
  ends.push(async () => {
    clearInterval(ticking);
    clearInterval(weighing);
    await b.daemon.close();
    b.line?.close();
  });
  return b;
}

/** Real parts take real time; each wait ends as soon as what it waits for is there. */
async function until(what: string, ready: () => boolean, mostMs = 8000): Promise<void> {
  const begin = performance.now();
  while (!ready()) {
    if (performance.now() - begin > mostMs) throw new Error(`waited in vain: ${what}`);
    await new Promise((resolve) => setTimeout(resolve, 5));
  }
}

/**
 * Starts, and starts again where this machine stood still for more than 0.1 s, which is a fault that
 * a person clears.
 */
async function running({ daemon: { loop } }: Bench): Promise<void> {
  await until(
    'running',
    () => {
      const { mode } = loop.state.cycle;
      if (mode === 'fault') loop.command({ do: 'clear' });
      if (mode === 'stopped') loop.command({ do: 'start' });
      if (loop.state.gate.laneNeedsConfirm) loop.command({ do: 'confirm' });
      return mode === 'running';
    },
    20_000,
  );
}

test('a cut line: no automatic stroke begins until readings are back under the same name', async () => {
  const b = await bench();
  const { loop } = b.daemon;
  await until('zero is known', () => loop.last?.weighing.zeroKnown === true);
  await running(b);
  b.kg = 34.5;
  await until('the lamb is on', () => loop.state.cycle.animal !== null);
  b.cut();
  b.events.length = 0;
  await until('the weigh head counts as lost', () => loop.last?.weighing.fresh === false);
  expect(b.events.filter((e) => e.kind === 'stroke')).toEqual([]);
  b.giveBack();
  await until('readings resume', () => loop.last?.weighing.fresh === true);
  expect(b.events.filter((e) => e.kind === 'stroke')).toEqual([]);
  await running(b);
  await until('it is sent left', () => loop.state.gate.at === 'left');
  const decided = b.events.filter((e) => e.kind === 'decided');
  expect(decided.at(-1)).toMatchObject({ lot: 'Stores', exit: 'left' });
}, 60_000);

test('records that take two seconds a commit do not hold the tick up', async () => {
  const b = await bench(2000);
  const { loop } = b.daemon;
  await until('zero is known', () => loop.last?.weighing.zeroKnown === true);
  loop.command({ do: 'start' });
  loop.command({ do: 'confirm' });
  const begun = loop.counts.ticks;
  const late = loop.counts.late;
  await until('150 ticks', () => loop.counts.ticks - begun >= 150);
  // Only this machine's own stalls may have stopped it, never the records.
  const faults = loop.state.faults.active.map(({ fault }) => fault);
  expect(faults.filter((fault) => fault !== 'tick-late' && fault !== 'scale-lost')).toEqual([]);
  // The machine that tests may be busy; a commit on this thread would show as seconds.
  expect(loop.counts.longestGapMs).toBeLessThan(1000);
  expect(loop.counts.late - late).toBeLessThan(40);
}, 60_000);

test('closing takes a moving leaf off before anything else is waited for', async () => {
  const b = await bench();
  const { loop } = b.daemon;
  await until('zero is known', () => loop.last?.weighing.zeroKnown === true);
  const moves = (): boolean =>
    Object.entries(b.board.written).some(([name, on]) => isMotionOutput(name) && on);
  await until(
    'a leaf moves',
    () => {
      const { mode } = loop.state.cycle;
      if (mode === 'fault') loop.command({ do: 'clear' });
      if (mode === 'stopped') loop.command({ do: 'start' });
      if (loop.state.gate.laneNeedsConfirm) loop.command({ do: 'confirm' });
      return moves();
    },
    20_000,
  );
  const closed = b.daemon.close();
  expect(moves()).toBe(false);
  await closed;
}, 60_000);
