import { describe, expect, it } from 'vitest';
import type { GateConfig } from '../../../src/core/interlock/gate.ts';
import { outputOf } from '../../../src/core/interlock/hold.ts';
import { Bench, configOf, gateOf, LEAF, SWITCHED } from './gate-bench.ts';

const GATE = gateOf(LEAF);
const ALL = ['frontShut', 'stopLoop', 'actuatorPower', 'laneClear'];
const fitting = (gate: GateConfig = GATE): Bench =>
  new Bench(configOf(gate), ALL).wait(300).ask({ mode: 'fitting' });
const hold = (b: Bench, output: string, press: number | null = 1): Bench =>
  b.ask({ hold: { output, press } });
/** A finger on the button, renewing every 100 ms. */
const held = (b: Bench, output: string, ms: number, press: number | null = 1): Bench => {
  for (let n = 0; n < ms; n += 100) hold(b, output, press).wait(100);
  return b;
};

describe('the names of outputs', () => {
  it('mean a leaf and a direction', () => {
    const [leafA, leafB] = GATE.leaves;
    expect(outputOf(GATE, 'leafA.extend')).toEqual({ leaf: leafA, direction: 'extend' });
    expect(outputOf(GATE, 'leafB.retract')).toEqual({ leaf: leafB, direction: 'retract' });
    for (const none of ['leafC.extend', 'leafA.open', 'leafA', 'keepAlive']) {
      expect(outputOf(GATE, none)).toBeNull();
    }
  });
});

describe('hold-to-run in the fitting mode', () => {
  it('moves that leaf that way while renewed, and feeds the keep-alive', () => {
    const b = fitting();
    expect(hold(b, 'leafB.extend').on()).toEqual(['leafB.extend']);
    expect(b.state.leaves['leafB']?.stroke?.kind).toBe('hold');
    expect(b.outputs['keepAlive']).toBe(true);
    expect(held(b, 'leafB.extend', 400).on()).toEqual(['leafB.extend']);
  });

  it('goes off before the renewal is 150 ms old, and stays off', () => {
    const b = hold(fitting(), 'leafA.extend').wait(120);
    expect(b.on()).toEqual(['leafA.extend']);
    expect(b.wait(20).on()).toEqual([]);
    expect(b.state).toMatchObject({ hold: null, endedPress: 1 });
    expect(b.wait(500).on()).toEqual([]);
    expect(b.events.at(-1)).toEqual({
      kind: 'stroke',
      leaf: 'leafA',
      direction: 'extend',
      phase: 'ended',
    });
  });

  it('a late renewal of a press that ended is nothing, a new press is one', () => {
    const b = hold(fitting(), 'leafA.extend').wait(400);
    expect(hold(b, 'leafA.extend', 1).wait(20).on()).toEqual([]);
    expect(b.state.hold).toBeNull();
    expect(hold(b, 'leafA.extend', 2).on()).toEqual(['leafA.extend']);
  });

  it('presses without a number begin anew after any gap', () => {
    const b = hold(fitting(), 'leafA.extend', null).wait(400);
    expect(b.state.endedPress).toBeNull();
    expect(hold(b, 'leafA.extend', null).on()).toEqual(['leafA.extend']);
  });

  it('lasts 30 s at most, and goes on only by a new press', () => {
    const slow = { ...LEAF, travelMs: 90_000, maxOnMs: 100_000 };
    const b = hold(fitting(gateOf(slow)), 'leafA.extend');
    const began = b.t;
    held(b, 'leafA.extend', 29_900);
    expect(b.t - began).toBe(29_900);
    expect(hold(b, 'leafA.extend').wait(80).on()).toEqual(['leafA.extend']);
    expect(b.wait(20).on()).toEqual([]);
    expect(b.state.hold?.spent).toBe(true);
    expect(held(b, 'leafA.extend', 300).on()).toEqual([]);
    expect(held(b, 'leafA.extend', 100, 2).on()).toEqual(['leafA.extend']);
  });

  it('ends at the limit of the leaf and does not go on while held', () => {
    const b = held(fitting(), 'leafA.extend', 900);
    expect(b.on()).toEqual(['leafA.extend']);
    expect(held(b, 'leafA.extend', 600).on()).toEqual([]);
    expect(b.state.hold?.spent).toBe(true);
    expect(b.outputs['keepAlive']).toBe(true);
    expect(b.result.leaves['leafA']?.position).toBe('unknown');
  });

  it('ends by the switch where there is one', () => {
    const b = held(fitting(gateOf(SWITCHED)), 'leafA.extend', 1200);
    expect(b.on()).toEqual([]);
    expect(b.result.leaves['leafA']).toMatchObject({ position: 'extended', assumed: false });
  });

  it('another output is a new press: the first goes off, its other direction after the dead time', () => {
    const b = held(fitting(), 'leafA.extend', 200);
    hold(b, 'leafA.retract');
    expect(b.on()).toEqual([]);
    expect(held(b, 'leafA.retract', 200).on()).toEqual([]);
    expect(held(b, 'leafA.retract', 100).on()).toEqual(['leafA.retract']);
    hold(b, 'leafB.extend');
    expect(b.on()).toEqual([]);
  });

  it('the same press on another leaf ends and counts anew', () => {
    const b = held(fitting(), 'leafA.extend', 200);
    hold(b, 'leafB.extend').wait(20);
    expect(b.state.hold).toMatchObject({ output: 'leafB.extend', beganAt: b.t - 20 });
  });

  it.each([
    ['the stop loop', 'stopLoop'],
    ['samples that are too old', ''],
  ])('%s ends the press, and it does not go on by itself', (_, name) => {
    const b = held(fitting(), 'leafA.extend', 100);
    if (name === '') b.fresh = false;
    else b.put(name, false);
    expect(b.ask({}).on()).toEqual([]);
    b.fresh = true;
    if (name !== '') b.put(name, true);
    b.ask({ mode: 'stopped' }).ask({ mode: 'fitting' });
    expect(held(b, 'leafA.extend', 100).on()).toEqual([]);
    expect(held(b, 'leafA.extend', 100, 2).on()).toEqual(['leafA.extend']);
  });

  it('a dead rail waits, and a rail that comes lets the press begin', () => {
    const b = fitting();
    b.put('actuatorPower', false);
    expect(hold(b, 'leafA.extend').on()).toEqual([]);
    expect(b.outputs['keepAlive']).toBe(true);
    b.put('actuatorPower', true);
    expect(hold(b, 'leafA.extend').on()).toEqual(['leafA.extend']);
  });

  it('a start ends it', () => {
    const b = held(fitting(), 'leafA.extend', 100).ask({ mode: 'homing', started: true });
    expect(b.on()).toEqual([]);
    expect(b.state.hold?.spent).toBe(true);
  });

  it('stopping ends it', () => {
    const b = held(fitting(), 'leafA.extend', 100).ask({ mode: 'stopped' });
    expect([b.on(), b.state.hold?.spent, b.outputs['keepAlive']]).toEqual([[], true, false]);
  });

  it('an output that the gate has not moves nothing', () => {
    const b = hold(fitting(), 'leafC.extend');
    expect([b.on(), b.state.hold?.spent]).toEqual([[], true]);
  });

  it('needs neither front nor lane nor scale', () => {
    const b = fitting().set('frontShut', false).set('laneClear', false).load('silent');
    expect(hold(b, 'leafA.extend').on()).toEqual(['leafA.extend']);
  });
});

describe('forbidden combinations', () => {
  const at = (forbidden: GateConfig['forbidden']): Bench => {
    const b = fitting(gateOf(SWITCHED, { forbidden }));
    return b.ask({});
  };
  it('are not held into, neither at the end nor on the way', () => {
    const end = at([{ leafA: 'extended', leafB: 'retracted' }]);
    expect(hold(end, 'leafA.extend').on()).toEqual([]);
    expect(hold(end, 'leafA.retract', 2).on()).toEqual(['leafA.retract']);
    const way = at([{ leafA: 'between', leafB: 'retracted' }]);
    expect(hold(way, 'leafA.extend').on()).toEqual([]);
  });
  it('that do not hold where the others stand allow it', () => {
    const b = at([{ leafA: 'extended', leafB: 'extended' }]);
    expect(hold(b, 'leafA.extend').on()).toEqual(['leafA.extend']);
  });
  it('a leaf that hangs somewhere may be anywhere', () => {
    const b = at([{ leafA: 'extended', leafB: 'extended' }]);
    b.set('leafB.retracted', false);
    expect(hold(b, 'leafA.extend').on()).toEqual([]);
  });
  it('every one of them counts', () => {
    const b = at([
      { leafA: 'extended', leafB: 'extended' },
      { leafA: 'between', leafB: 'retracted' },
    ]);
    expect(hold(b, 'leafA.extend').on()).toEqual([]);
  });
});

describe('freeing', () => {
  const sorting = (): Bench =>
    new Bench(configOf(GATE), ALL).start().wait(300).ask({ exit: 'left' }).wait(200);

  it.each(['stopped', 'paused', 'running', 'homing', 'fault'] as const)(
    'in mode %s moves a leaf only the way it opens',
    (mode) => {
      const b = new Bench(configOf(GATE), ALL).wait(500).ask({ mode });
      expect(hold(b, 'leafA.extend').on()).toEqual([]);
      expect(hold(b, 'leafA.retract', 2).on()).toEqual(['leafA.retract']);
      expect(b.outputs['keepAlive']).toBe(true);
    },
  );

  it('comes before every other motion: that goes off first', () => {
    const b = sorting().ask({ mode: 'paused' });
    expect(b.on()).toEqual(['leafA.extend']);
    hold(b, 'leafB.retract');
    expect(b.on()).toEqual([]);
    expect(b.events.at(-1)).toMatchObject({ leaf: 'leafA', phase: 'cut' });
    expect(hold(b.wait(20), 'leafB.retract').on()).toEqual(['leafB.retract']);
  });

  it('ends a homing for good', () => {
    const b = new Bench(configOf(GATE), ALL).wait(300);
    b.ask({ mode: 'homing', started: true, confirmed: true }).wait(100);
    hold(b, 'leafB.retract');
    expect(b.state.toHome).toEqual([]);
    expect(b.on()).toEqual([]);
  });

  it('a leaf tripped on may be freed, and what tripped afterwards does not end it', () => {
    const b = sorting().raw('frontShut', false).ask({ mode: 'fault' }).wait(300);
    expect(held(b, 'leafA.retract', 200).on()).toEqual(['leafA.retract']);
    b.raw('laneClear', false);
    expect(b.on()).toEqual(['leafA.retract']);
  });

  it('the first moment of a trip ends a press too', () => {
    const b = held(
      new Bench(configOf(GATE), ALL).wait(500).ask({ mode: 'paused' }),
      'leafA.retract',
      100,
    );
    expect(b.on()).toEqual(['leafA.retract']);
    b.give({ t: b.t, late: 200 });
    expect([b.on(), b.state.hold?.spent]).toEqual([[], true]);
  });

  it('tripped in the fitting mode only the opening way is left', () => {
    const b = fitting();
    b.give({ t: b.t, late: 200 }).wait(40);
    expect(b.result.tripped).toBe(true);
    expect(hold(b, 'leafA.extend').on()).toEqual([]);
    expect(hold(b, 'leafA.retract', 2).on()).toEqual(['leafA.retract']);
  });

  it('does not let a leaf held be taken for one at its place', () => {
    const b = held(sorting().wait(1200).ask({ mode: 'paused' }), 'leafB.retract', 200);
    expect(b.result).toMatchObject({ needsHoming: true, moving: true, at: null });
  });
});
