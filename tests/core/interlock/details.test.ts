/** What is easily got wrong by one sign or one word: found by putting such faults into the interlock. */
import { describe, expect, it } from 'vitest';
import { endIfDue, initialLeaf } from '../../../src/core/interlock/leaves.ts';
import { initialLane, laneClear, watchLane } from '../../../src/core/interlock/lane.ts';
import { initial } from '../../../src/core/interlock/interlock.ts';
import { Bench, configOf, gateOf, LEAF, SWITCHED } from './gate-bench.ts';

const ALL = ['frontShut', 'stopLoop', 'actuatorPower', 'laneClear'];
const CONFIG = configOf(gateOf(LEAF));
const KNOWN = configOf(gateOf(SWITCHED));
const running = (config = CONFIG): Bench => new Bench(config, ALL).start().wait(300);
const moving = (config = CONFIG): Bench => running(config).ask({ exit: 'left' }).wait(200);
const fitting = (config = CONFIG): Bench =>
  new Bench(config, ALL).wait(300).ask({ mode: 'fitting' });
const hold = (b: Bench, output: string, press = 1): Bench => b.ask({ hold: { output, press } });
const phases = (b: Bench): string[] =>
  b.events.flatMap((e) => (e.kind === 'stroke' ? [`${e.leaf} ${e.direction} ${e.phase}`] : []));
const calls = (b: Bench): string[] =>
  b.events.flatMap((e) => (e.kind === 'call' ? [e.reason] : []));

describe('a finger', () => {
  it('that renewed between two ticks is worth 150 ms to the millisecond', () => {
    const b = hold(fitting(), 'leafA.extend');
    b.t += 10;
    hold(b, 'leafA.extend');
    b.t += 10;
    b.give({ t: b.t, tick: true });
    expect(b.wait(100).on()).toEqual(['leafA.extend']);
    // At the tick after this one it would be 150 ms old, then 170.
    expect([b.wait(20).on(), b.wait(20).on()]).toEqual([['leafA.extend'], []]);
  });
  it('already on the button while the stop is open moves nothing when the stop is released', () => {
    const b = moving()
      .raw('stopLoop', false)
      .put('stopLoop', false)
      .ask({ mode: 'fault' })
      .wait(400);
    expect(hold(b, 'leafA.retract').on()).toEqual([]);
    b.put('stopLoop', true);
    expect(hold(b.wait(20), 'leafA.retract').on()).toEqual([]);
    expect(hold(b.wait(20), 'leafA.retract', 2).on()).toEqual(['leafA.retract']);
  });
  it('leaves its leaf where nobody knows, known by no switch', () => {
    const b = hold(fitting(), 'leafA.extend').wait(400);
    expect(b.result.leaves['leafA']).toEqual({ position: 'unknown', assumed: true, moving: null });
    expect(phases(b)).toEqual(['leafA extend begun', 'leafA extend ended']);
  });
  it('that goes to another leaf the same way lets the first go before the second begins', () => {
    const b = hold(fitting(), 'leafA.extend').wait(40);
    expect(hold(b, 'leafB.extend').on()).toEqual([]);
    expect(hold(b.wait(20), 'leafB.extend').on()).toEqual(['leafB.extend']);
  });
  it('frees with the keep-alive fed as long as it is there, though the cause still stands', () => {
    const b = moving();
    b.chattering = ['laneClear'];
    b.ask({}).ask({ mode: 'fault' }).wait(300);
    hold(b, 'leafA.retract');
    for (let n = 0; n < 4; n += 1) {
      expect([b.on(), b.outputs['keepAlive']]).toEqual([['leafA.retract'], true]);
      hold(b.wait(40), 'leafA.retract');
    }
  });
  it('moves a leaf of a gate with no contact fitted', () => {
    const b = new Bench(CONFIG, []);
    b.fresh = false;
    b.wait(300).ask({ mode: 'fitting' });
    expect(hold(b, 'leafA.extend').on()).toEqual(['leafA.extend']);
  });
});

describe('a trip', () => {
  it('that came from another module takes the stroke off by its mode', () => {
    const b = moving().ask({ mode: 'fault' });
    expect([b.on(), b.faults(), phases(b).at(-1)]).toEqual([[], [], 'leafA extend cut']);
  });
  it('that nobody came out by asks for no empty crate, no homing and no look', () => {
    const b = moving().load('loaded').raw('stopLoop', false);
    expect(b.state).toMatchObject({ tripped: true, emptyFirst: false, homeFirst: false });
    expect(calls(b)).toEqual([]);
  });
  it('that somebody came out by calls in words', () => {
    expect(calls(moving().raw('frontShut', false))).toEqual([
      'somebody came out while a leaf was moving: look at the gate',
    ]);
  });
  it('makes up no press, ends a homing, and leaves positions to be assumed', () => {
    const b = new Bench(CONFIG, ALL).wait(300);
    b.ask({ mode: 'homing', started: true, confirmed: true }).wait(100).raw('stopLoop', false);
    expect(b.state).toMatchObject({ hold: null, toHome: [] });
    expect(b.result.leaves['leafA']).toEqual({ position: 'unknown', assumed: true, moving: null });
  });
});

describe('end switches', () => {
  it('an end lost behind a shut front is no animal let go', () => {
    const b = running(KNOWN).load('loaded').set('leafB.retracted', false);
    expect(b.faults()).toEqual(['leaf-moved-unbidden leafB']);
  });
  it('a leaf under way stands nowhere, though its start end is still made', () => {
    const b = running(KNOWN);
    b.stuck = ['leafA'];
    b.ask({ exit: 'left' }).wait(100);
    expect(b.result.leaves['leafA']).toMatchObject({ position: 'unknown', moving: 'extend' });
  });
  it('a gate whose switches show every end needs no homing', () => {
    expect(new Bench(KNOWN, ALL).result).toMatchObject({ needsHoming: false, at: 'ahead' });
  });
  it('one that did not reach its end is known not to be there', () => {
    const stroke = { direction: 'extend', kind: 'automatic', from: 'retracted' } as const;
    const leaf = { ...initialLeaf(SWITCHED), stroke: { ...stroke, beganAt: 0, madeAt: null } };
    const none = { fresh: true, linkUp: true, contacts: {}, chattering: [] };
    const { state } = endIfDue(SWITCHED, leaf, 1000, none);
    expect(state).toMatchObject({ position: 'unknown', assumed: false });
  });
});

describe('what is told of a stroke', () => {
  it('begun and ended', () => {
    const b = running();
    b.events = [];
    b.ask({ exit: 'left' }).wait(1500);
    expect(phases(b)).toEqual(['leafA extend begun', 'leafA extend ended']);
  });
});

describe('the warning', () => {
  it('goes on while the dead time lasts longer, and the stroke begins after both', () => {
    const warned = configOf(gateOf(LEAF, { warnMs: { first: 0, later: 100 } }));
    const b = running(warned).ask({ exit: 'left' }).wait(600).ask({ exit: 'ahead' });
    while (b.on().length > 0) b.wait(20);
    expect([b.wait(240).on(), b.result.warning]).toEqual([[], true]);
    expect(b.wait(20).on()).toEqual(['leafA.retract']);
  });
});

describe('an actuator that has to rest', () => {
  it('is not told of while its own stroke is under way', () => {
    const duty = { onMs: 6000, periodMs: 60_000 };
    const b = new Bench(configOf(gateOf({ ...LEAF, duty })), ALL).wait(40_000);
    b.start().wait(40_000).ask({ exit: 'left' }).wait(200);
    expect([b.on(), b.faults()]).toEqual([['leafA.extend'], []]);
  });
});

it('a battery that was read just now is good however long the day is', () => {
  const battery = { lowVolts: 11.8, staleMs: 5000 };
  const b = new Bench(configOf(gateOf(LEAF), { battery }), ALL).wait(20_000);
  b.give({ t: b.t, volts: 12.4 });
  expect(b.ask({ mode: 'running' }).faults()).toEqual([]);
  expect(b.wait(5020).faults()).toEqual(['battery-low']);
});

describe('the lane', () => {
  const on = (fell: boolean) => ({ raw: !fell, level: !fell, since: null, rose: false, fell });
  it('of which nothing was ever seen is clear as soon as somebody has said so', () => {
    const contacts = {
      fresh: true,
      linkUp: true,
      contacts: { frontShut: on(false) },
      chattering: [],
    };
    expect(laneClear({ ...initialLane(), needsConfirm: false }, 50, contacts, 200)).toBe(true);
  });
  it('with two beams and no front contact: one of them broken is the animal', () => {
    const contacts = { 'laneClear.left': on(true), 'laneClear.right': on(false) };
    const seen = { fresh: true, linkUp: true, contacts, chattering: [] };
    const sight = { contacts: seen, scaleFresh: true, crateEmpty: true, crateLoaded: false };
    const lane = { ...initialLane(), needsConfirm: false, loaded: true };
    const acts = { started: false, confirmed: false, times: { knockMs: 150 } };
    const after = watchLane(lane, 1000, { sight, at: 'left', ...acts });
    expect(after).toMatchObject({ needsConfirm: false, waitsFor: null });
  });
});

it('begins with nobody having started, warned, said or held anything', () => {
  expect(initial(CONFIG)).toMatchObject({
    startedAt: null,
    tripped: false,
    toHome: [],
    homeFirst: false,
    emptyFirst: false,
    saidEmpty: false,
    warned: false,
    hold: null,
    railSeen: false,
    lane: { needsConfirm: true, waitsFor: null, loaded: false, passer: false },
  });
});
