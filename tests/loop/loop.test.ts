import { describe, expect, test } from 'vitest';
import fc from 'fast-check';
import { fakeClock, type FakeClock } from '../../src/adapters/clock/clock.ts';
import { createSimulatedBoard, type SimulatedBoard } from '../../src/adapters/relays/simulated.ts';
import { defaultConfig } from '../../src/config/defaults.ts';
import type { Config, State } from '../../src/core/step.ts';
import type { Event, Input, TraceHeader } from '../../src/core/trace.ts';
import { Loop } from '../../src/loop.ts';
import { run, type Produced } from '../../src/replay/run.ts';

type Line =
  | { kind: 'input'; record: Input }
  | { kind: 'output'; t: number; output: string; on: boolean }
  | { kind: 'event'; t: number; event: Event };

interface Bench {
  clock: FakeClock;
  board: SimulatedBoard;
  loop: Loop;
  config: Config;
  traces: { header: TraceHeader; state: State; lines: Line[] }[];
  last: () => Line[];
}

/** The loop on a clock and a board that stand where the test puts them. */
function bench(traceMs = 3_600_000): Bench {
  const scale = { divisionKg: 0.1, rateHz: 10 };
  const config = defaultConfig({ scale, inputs: ['frontShut', 'stopLoop'] });
  const clock = fakeClock(Date.UTC(2026, 8, 14, 7));
  const board = createSimulatedBoard(config.inputs);
  const loop = new Loop({ config, version: '0', clock, board, session: 'a', traceMs });
  const traces: Bench['traces'] = [{ header: loop.header(), state: loop.state, lines: [] }];
  const last = (): Line[] => traces.at(-1)?.lines ?? [];
  loop.keep({
    input: (record) => {
      if (!('bytes' in record || 'truth' in record)) last().push({ kind: 'input', record });
    },
    output: (t, output, on) => last().push({ kind: 'output', t, output, on }),
    event: (t, event) => last().push({ kind: 'event', t, event }),
    crossing: () => undefined,
    rotate: (header, state) => traces.push({ header, state: state as State, lines: [] }),
  });
  return { clock, board, loop, config, traces, last };
}

function tickFor(b: Bench, ms: number): void {
  for (let gone = 0; gone < ms; gone += 20) {
    b.loop.pump();
    b.clock.advance(20);
  }
}

function started(): Bench {
  const b = bench();
  b.board.shown = { frontShut: true, stopLoop: true };
  tickFor(b, 400);
  b.loop.command({ do: 'start' });
  b.loop.command({ do: 'confirm' });
  tickFor(b, 200);
  return b;
}

const lates = (b: Bench): Input[] =>
  b.last().flatMap((l) => (l.kind === 'input' && 'late' in l.record ? [l.record] : []));

describe('ticks', () => {
  test('a tick 19 ms late is run at its own time, one 20 ms late is not made up', () => {
    const b = started();
    const before = b.loop.counts.ticks;
    b.clock.advance(19);
    b.loop.pump();
    expect(b.loop.counts.ticks).toBe(before + 1);
    expect(lates(b)).toEqual([]);
    const due = b.loop.t() + b.loop.untilTick();
    b.clock.advance(b.loop.untilTick() + 20);
    b.loop.pump();
    expect(b.loop.counts.ticks).toBe(before + 1);
    expect(lates(b)).toEqual([{ t: due + 20, late: 20 }]);
  });

  test('however long the page takes to start, nothing is late: time begins with the first pump', () => {
    const b = bench();
    b.clock.advance(700);
    b.loop.arrive((t) => ({ t, link: 'scale', up: true }));
    b.clock.advance(4000);
    tickFor(b, 100);
    expect(b.loop.counts).toMatchObject({ ticks: 5, late: 0 });
    expect(b.loop.t()).toBe(100);
    expect(b.last()[0]).toEqual({ kind: 'input', record: { t: 0, link: 'scale', up: true } });
    expect(lates(b)).toEqual([]);
  });

  test('standing still for more than 0.1 s is a fault, and takes the leaves off', () => {
    const b = started();
    expect(b.board.written['leafA.retract']).not.toBe(true);
    tickFor(b, 1200);
    expect(b.board.written['leafA.retract']).toBe(true);
    b.clock.advance(130);
    b.loop.pump();
    expect(b.loop.state.cycle.mode === 'fault' || b.loop.state.interlock.tripped).toBe(true);
    expect(b.board.written['leafA.retract']).toBe(false);
  });
});

test('contacts that the board has only older than 100 ms take the leaves off in the same tick', () => {
  const b = started();
  tickFor(b, 1200);
  expect(b.board.written['leafA.retract']).toBe(true);
  b.board.read = () => null;
  tickFor(b, 20);
  expect(b.board.written['leafA.retract']).toBe(false);
  expect(b.loop.state.cycle.mode === 'fault' || b.loop.state.interlock.tripped).toBe(true);
});

test('at its end the leaves are off at once, and neither a start nor an input moves them again', () => {
  const b = started();
  tickFor(b, 1200);
  expect(b.board.written['leafA.retract']).toBe(true);
  b.loop.end();
  expect(Object.values(b.board.written)).not.toContain(true);
  expect(b.loop.state.cycle.mode).toBe('stopped');
  const told = b.last().length;
  const { edges } = b.board;
  expect(b.loop.command({ do: 'start' })).toEqual({
    ok: false,
    reason: 'The service is being stopped.',
  });
  b.loop.arrive((t) => ({ t, kg: 30 }));
  tickFor(b, 3000);
  expect(Object.values(b.board.written)).not.toContain(true);
  expect([b.last().length, b.board.edges]).toEqual([told, edges]);
});

describe('keep-alive', () => {
  test('one edge a good tick while started, none while stopped', () => {
    const b = bench();
    b.board.shown = { frontShut: true, stopLoop: true };
    tickFor(b, 400);
    expect(b.board.edges).toBe(0);
    b.loop.command({ do: 'start' });
    tickFor(b, 200);
    expect(b.board.edges).toBe(10);
    b.loop.command({ do: 'stop' });
    tickFor(b, 200);
    expect(b.board.edges).toBe(10);
  });

  test('no edge while the board does not take what is written, or cannot be read', () => {
    for (const fail of ['read', 'write'] as const) {
      const b = started();
      const { edges } = b.board;
      if (fail === 'read') b.board.read = () => null;
      else b.board.write = () => false;
      tickFor(b, 1600);
      // A board that fails to take writes is only found out by the first one.
      expect(b.board.edges - edges).toBeLessThanOrEqual(fail === 'read' ? 0 : 50);
      expect(b.loop.state.cycle.mode).toBe('fault');
      const after = b.board.edges;
      tickFor(b, 200);
      expect(b.board.edges).toBe(after);
    }
  });
});

/** What may happen to the loop between two moments of a random day. */
const act = fc.oneof(
  { weight: 8, arbitrary: fc.record({ kind: fc.constant('wait' as const), ms: fc.nat(45) }) },
  { weight: 1, arbitrary: fc.record({ kind: fc.constant('stall' as const), ms: fc.nat(400) }) },
  {
    weight: 6,
    arbitrary: fc.record({
      kind: fc.constant('reading' as const),
      kg: fc.integer({ min: 0, max: 500 }),
    }),
  },
  {
    weight: 2,
    arbitrary: fc.record({
      kind: fc.constant('input' as const),
      name: fc.constantFrom('frontShut', 'stopLoop'),
      on: fc.boolean(),
    }),
  },
  {
    weight: 2,
    arbitrary: fc.record({
      kind: fc.constant('command' as const),
      command: fc.constantFrom(
        { do: 'start' as const },
        { do: 'confirm' as const },
        { do: 'clear' as const },
        { do: 'stop' as const },
        { do: 'exit' as const, exit: 'left' },
      ),
    }),
  },
);

test('whatever happens and whenever, the recording replays to the same outputs and events', () => {
  fc.assert(
    fc.property(fc.array(act, { minLength: 5, maxLength: 150 }), (acts) => {
      const b = bench(1500);
      b.board.shown = { frontShut: true, stopLoop: true };
      for (const a of acts) {
        if (a.kind === 'wait' || a.kind === 'stall') {
          b.clock.advance(a.ms);
          if (a.kind === 'wait') b.loop.pump();
        } else if (a.kind === 'reading') b.loop.arrive((t) => ({ t, kg: a.kg / 10 }));
        else if (a.kind === 'input') b.board.shown[a.name] = a.on;
        else b.loop.command(a.command);
      }
      b.loop.pump();
      for (const trace of b.traces) {
        const made: Produced[] = [];
        const inputs = trace.lines.flatMap((l) => (l.kind === 'input' ? [l.record] : []));
        const lastT = Math.max(0, ...trace.lines.map((l) => ('record' in l ? l.record.t : l.t)));
        run({
          config: b.config,
          state: trace.state,
          inputs,
          attend: false,
          untilMs: lastT,
          produce: (item) => made.push(item),
        });
        expect(made).toEqual(trace.lines);
      }
    }),
    { numRuns: 200 },
  );
});
