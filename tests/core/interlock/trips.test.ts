import { describe, expect, it } from 'vitest';
import { initial } from '../../../src/core/interlock/interlock.ts';
import type { InterlockConfig } from '../../../src/core/interlock/state.ts';
import { Bench, configOf, gateOf, LEAF, SWITCHED } from './gate-bench.ts';

const CONFIG = configOf(gateOf(LEAF));
const KNOWN = configOf(gateOf(SWITCHED));
const ALL = ['frontShut', 'stopLoop', 'actuatorPower', 'laneClear'];
/** Leaf A is under way to the left. */
const moving = (config: InterlockConfig = CONFIG, contacts = ALL): Bench =>
  new Bench(config, contacts).start().wait(300).ask({ exit: 'left' }).wait(200);
const begun = (b: Bench): number =>
  b.events.filter((e) => e.kind === 'stroke' && e.phase === 'begun').length;
/** Off at once, latched, nothing begins by itself however long it waits. */
function staysOff(b: Bench, fault: string): void {
  expect(b.faults()).toEqual([fault]);
  expect([b.on(), b.outputs['keepAlive'], b.result.tripped]).toEqual([[], false, true]);
  const before = begun(b);
  b.chattering = [];
  expect(b.ask({ mode: 'fault' }).wait(3000).on()).toEqual([]);
  b.ask({ mode: 'running' }).wait(1000).ask({ mode: 'homing' }).wait(1000);
  expect([b.on(), begun(b), b.result.tripped]).toEqual([[], before, true]);
}

describe('off in the same step, latched, and not begun again by itself', () => {
  it('stop loop open', () => {
    staysOff(
      moving().raw('stopLoop', false).raw('stopLoop', true).raw('stopLoop', false),
      'stop-pressed',
    );
  });
  it('inputs that can no longer be read', () => {
    const b = moving();
    b.fresh = false;
    staysOff(b.ask({}), 'inputs-lost');
  });
  it('relays that do not answer', () => {
    const b = moving();
    staysOff(b.give({ t: b.t, link: 'relays', up: false }), 'relays-lost');
  });
  it('an input that chatters', () => {
    const b = moving();
    b.chattering = ['laneClear'];
    staysOff(b.ask({}), 'input-chatters laneClear');
  });
  it('no tick for more than 100 ms', () => {
    const b = moving();
    b.give({ t: b.t + 100, command: { do: 'mark' } });
    expect(b.faults()).toEqual([]);
    b.t += 101;
    staysOff(b.ask({}), 'tick-late');
  });
  it('a tick that came more than 100 ms late', () => {
    const b = moving();
    b.give({ t: b.t, late: 100 });
    expect(b.faults()).toEqual([]);
    staysOff(b.give({ t: b.t, late: 101 }), 'tick-late');
  });
  it('a computer that stood still: its old samples are no lost board', () => {
    const b = moving();
    b.fresh = false;
    staysOff(b.give({ t: b.t + 400, late: 400 }), 'tick-late');
  });
  it('a board lost while the computer stood still is said too, after it', () => {
    const b = moving();
    b.fresh = b.linkUp = false;
    b.give({ t: b.t + 400, late: 400 });
    expect(b.faults()).toEqual(['tick-late', 'inputs-lost']);
  });
  it('the front opened', () => {
    staysOff(moving().raw('frontShut', false), 'let-out-early');
  });
  it('the lane entered', () => {
    staysOff(moving().raw('laneClear', false), 'lane-entered');
  });
  it('the rail dead', () => {
    staysOff(moving().set('actuatorPower', false), 'rail-dead');
  });
  it('both ends made', () => {
    staysOff(moving(KNOWN).set('leafB.extended', true), 'both-ends-made leafB');
  });
  it('the start end still made', () => {
    const b = new Bench(KNOWN, ALL).start().wait(300);
    b.stuck = ['leafA'];
    b.ask({ exit: 'left' }).wait(240);
    expect(b.on()).toEqual(['leafA.extend']);
    staysOff(b.wait(20), 'leaf-did-not-start leafA');
  });
  it('the far end made too soon', () => {
    staysOff(moving(KNOWN).set('leafA.extended', true), 'end-too-soon leafA');
  });
  it('the far end not made by the limit', () => {
    const b = moving(KNOWN);
    b.stuck = ['leafA'];
    b.wait(760);
    expect(b.on()).toEqual(['leafA.extend']);
    staysOff(b.wait(40), 'end-not-reached leafA');
  });
  it('a leaf that moves unbidden, pushed or by a welded relay', () => {
    staysOff(moving(KNOWN).set('leafB.retracted', false), 'leaf-moved-unbidden leafB');
    const paused = moving(KNOWN).wait(1000).ask({ mode: 'paused' });
    staysOff(paused.set('leafA.extended', false), 'leaf-moved-unbidden leafA');
  });
  it('an end lost while the animal walks out', () => {
    const b = moving(KNOWN).wait(1000).load('loaded').set('frontShut', false);
    staysOff(b.wait(100).set('leafA.extended', false), 'end-lost-letting-go leafA');
  });
  it('an end lost with the front open over an empty crate is nobody let go', () => {
    const b = moving(KNOWN).wait(1000).set('frontShut', false);
    staysOff(b.wait(100).set('leafA.extended', false), 'leaf-moved-unbidden leafA');
  });
  it('one leaf cut stops them all, and nobody knows where they stand', () => {
    const b = moving(KNOWN).wait(1200).ask({ exit: 'right' }).wait(200);
    expect(b.on()).toEqual(['leafA.retract', 'leafB.extend']);
    b.raw('stopLoop', false);
    expect(b.on()).toEqual([]);
    expect(b.result.leaves).toMatchObject({
      leafA: { position: 'unknown', moving: null },
      leafB: { position: 'unknown', moving: null },
    });
    const cut = b.events.flatMap((e) => (e.kind === 'stroke' && e.phase === 'cut' ? [e.leaf] : []));
    expect(cut).toEqual(['leafA', 'leafB']);
  });
});

describe('what stops nothing', () => {
  it('front and lane with no leaf under way', () => {
    const b = moving().wait(1000).raw('frontShut', false).raw('laneClear', false);
    expect([b.faults(), b.result.tripped]).toEqual([[], false]);
  });
  it('an exit beam that is clear, one that is not fitted', () => {
    const b = moving(CONFIG, ['frontShut', 'laneClear.left', 'laneClear.right']);
    expect(b.on()).toEqual(['leafA.extend']);
    b.raw('laneClear.right', false);
    expect(b.faults()).toEqual(['lane-entered']);
  });
  it('nothing is fitted that could be too old', () => {
    const b = new Bench(CONFIG, []);
    b.fresh = false;
    expect(b.ask({ mode: 'paused' }).faults()).toEqual([]);
  });
  it('the first samples may be on their way after power-up, but only while stopped', () => {
    const b = new Bench(CONFIG, ALL);
    b.fresh = false;
    b.put('stopLoop', false);
    b.t = 199;
    expect(b.ask({}).faults()).toEqual([]);
    b.t = 200;
    expect(b.ask({}).faults()).toEqual(['stop-pressed', 'inputs-lost']);
    expect(b.result.tripped).toBe(false);
    const early = new Bench(CONFIG, ALL).raw('stopLoop', false);
    expect(early.ask({ mode: 'paused' }).faults()).toEqual(['stop-pressed']);
  });
  it('a tick gap while stopped', () => {
    const b = new Bench(CONFIG, ALL);
    b.t = 5000;
    expect(b.ask({}).faults()).toEqual([]);
  });
  it('switches that make no sense while stopped or fitting', () => {
    for (const mode of ['stopped', 'fitting'] as const) {
      const b = new Bench(KNOWN, ALL).ask({ mode }).set('leafA.extended', true);
      expect([b.faults(), b.result.tripped]).toEqual([[], false]);
    }
  });
});

describe('somebody out while a leaf moves', () => {
  const out = (): Bench => moving().load('loaded').ask({}).raw('frontShut', false);

  it('is called, and needs a look, an empty crate and all leaves home', () => {
    const b = out();
    expect(b.events.filter((e) => e.kind === 'call')).toHaveLength(1);
    expect(b.events.at(-1)).toMatchObject({ kind: 'stroke', phase: 'cut' });
    expect(b.result).toMatchObject({ needsHoming: true, laneNeedsConfirm: true, tripped: true });
    b.ask({ mode: 'stopped' }).set('frontShut', true).wait(500);
    b.ask({ mode: 'homing', started: true, confirmed: true }).wait(500);
    expect([b.on(), b.result.waits]).toEqual([[], ['crate']]);
    b.load('empty').wait(300);
    expect(b.on()).toEqual(['leafA.retract']);
    expect(b.state).toMatchObject({ emptyFirst: false, homeFirst: true });
    for (let n = 0; n < 200 && !b.result.homed; n += 1) b.wait(20);
    expect(b.result).toMatchObject({ needsHoming: false, at: 'ahead' });
  });

  it('all leaves go home first though each stands at a known end', () => {
    const b = moving(KNOWN).raw('laneClear', false).ask({ mode: 'stopped' });
    b.places['leafA'] = 1;
    b.set('leafA.extended', true).set('laneClear', true).wait(300);
    expect(b.result).toMatchObject({ at: 'left', needsHoming: true });
  });

  it('where no leaf has to move the gate is home only once the crate is empty', () => {
    const b = new Bench(KNOWN, ALL).start().wait(300).ask({ exit: 'left' }).wait(20);
    // Out before the leaf has left its end.
    b.places['leafA'] = 0;
    b.load('loaded').set('leafA.retracted', true).raw('frontShut', false);
    expect(b.result).toMatchObject({ needsHoming: true, tripped: true });
    b.ask({ mode: 'stopped', exit: null }).set('frontShut', true).wait(500);
    b.ask({ mode: 'homing', started: true, confirmed: true }).wait(500);
    expect(b.result).toMatchObject({ at: 'ahead', homed: false, waits: ['crate'] });
    expect(b.load('empty').wait(20).result.homed).toBe(true);
    b.load('loaded').ask({ mode: 'running', exit: 'left' }).wait(300);
    expect([b.result.waits, b.on()]).toEqual([[], ['leafA.extend']]);
  });

  it('with no weight the crate is empty by a person’s word, given after', () => {
    const b = moving().load('silent').ask({ crateSeenEmpty: true }).raw('frontShut', false);
    b.ask({ mode: 'stopped' }).set('frontShut', true).wait(500);
    b.ask({ mode: 'homing', started: true });
    b.state = { ...b.state, lane: { ...b.state.lane, needsConfirm: false } };
    expect([b.wait(300).on(), b.result.waits]).toEqual([[], ['crate']]);
    expect(b.ask({ crateSeenEmpty: true }).wait(40).on()).toEqual(['leafA.retract']);
  });

  it('a word that the crate is empty is nothing once a weight says otherwise', () => {
    const b = out().ask({ mode: 'stopped' }).set('frontShut', true).wait(500);
    b.load('silent').ask({ crateSeenEmpty: true }).load('loaded').ask({}).load('silent');
    b.ask({ mode: 'homing', started: true });
    expect(b.result.waits).toContain('crate');
    expect(b.ask({ confirmed: true }).result.waits).not.toContain('crate');
  });

  it('with no front contact the weight that goes is an animal out', () => {
    const b = moving(CONFIG, ['laneClear', 'stopLoop'])
      .load('loaded')
      .ask({})
      .load('empty')
      .ask({});
    expect(b.faults()).toEqual(['let-out-early']);
  });

  it('over a side: weight gone with front and back shut', () => {
    const b = moving(CONFIG, [...ALL, 'backShut'])
      .load('loaded')
      .ask({})
      .load('empty')
      .ask({});
    expect(b.faults()).toEqual(['lane-entered']);
    const backed = moving(CONFIG, [...ALL, 'backShut'])
      .load('loaded')
      .raw('backShut', false);
    expect(backed.load('empty').ask({}).faults()).toEqual([]);
  });

  it('a leaf held by a person is no stroke that the front could stop', () => {
    const b = new Bench(CONFIG, ALL).wait(300);
    b.ask({ mode: 'fitting', hold: { output: 'leafA.extend', press: 1 } });
    expect(b.on()).toEqual(['leafA.extend']);
    b.raw('frontShut', false).raw('laneClear', false);
    expect([b.faults(), b.on()]).toEqual([[], ['leafA.extend']]);
  });
});

describe('clearing and starting', () => {
  it('stopped forgets the trip; from there only a start moves', () => {
    const b = moving()
      .raw('stopLoop', false)
      .set('stopLoop', true)
      .ask({ mode: 'fault' })
      .wait(500);
    expect(b.result.tripped).toBe(true);
    b.ask({ mode: 'stopped', cleared: true });
    expect([b.result.tripped, b.outputs['keepAlive']]).toEqual([false, false]);
    expect(b.wait(2000).on()).toEqual([]);
    expect(b.start().result.at).toBe('ahead');
  });
  it('a condition while stopped trips nothing', () => {
    const b = new Bench(CONFIG, ALL).wait(300).raw('stopLoop', false);
    expect([b.faults(), b.result.tripped]).toEqual([['stop-pressed'], false]);
  });
});

describe('the rail that the keep-alive feeds', () => {
  const FED = configOf(gateOf(LEAF, { dropOutMs: 200 }));
  /** Running with the rail live, then stopped at the present time. */
  const stopped = (config: InterlockConfig = FED): Bench =>
    new Bench(config, ALL).start().wait(100).ask({ mode: 'stopped' });

  it('must be dead 300 ms after the drop-out time once the keep-alive is silent', () => {
    const b = stopped().wait(500);
    expect(b.faults()).toEqual([]);
    expect(b.wait(20).faults()).toEqual(['rail-live']);
    expect(b.raw('actuatorPower', false).faults()).toEqual([]);
  });
  it('one that does not follow the keep-alive may stay live', () => {
    expect(stopped(CONFIG).wait(5000).faults()).toEqual([]);
  });
  it('live in a fault is a fault of its own', () => {
    const b = moving(FED).raw('stopLoop', false).set('stopLoop', true).ask({ mode: 'fault' });
    expect(b.wait(600).faults()).toEqual(['rail-live']);
  });
  it('it may still be dead just after a start; once seen live it must stay so', () => {
    const b = new Bench(FED, ALL).set('actuatorPower', false).wait(300);
    b.ask({ mode: 'homing', started: true, confirmed: true }).wait(100);
    expect([b.faults(), b.result.waits]).toEqual([[], ['power']]);
    b.set('actuatorPower', true).wait(100);
    expect(b.on()).toEqual(['leafA.retract']);
    expect(b.set('actuatorPower', false).faults()).toEqual(['rail-dead']);
  });
  it('dead while the keep-alive is silent is as it should be', () => {
    const b = stopped().wait(100).set('actuatorPower', false);
    expect(b.faults()).toEqual([]);
    expect(b.state.railSeen).toBe(false);
  });
  it('without that contact nothing is said of it', () => {
    const b = new Bench(FED, ['frontShut']).wait(3000);
    expect(b.faults()).toEqual([]);
  });
});

describe('keep-alive', () => {
  it.each([
    ['stopped', false],
    ['fault', false],
    ['homing', true],
    ['running', true],
    ['paused', true],
    ['fitting', true],
  ] as const)('%s: %s', (mode, fed) => {
    expect(new Bench(CONFIG, ALL).ask({ mode }).outputs['keepAlive']).toBe(fed);
  });
  it('is silent as soon as something trips', () => {
    const b = moving();
    expect(b.outputs['keepAlive']).toBe(true);
    expect(b.raw('stopLoop', false).outputs['keepAlive']).toBe(false);
    expect(b.state.silentAt).toBe(b.t);
    expect(b.wait(40).state.silentAt).toBe(b.t - 40);
  });
});

describe('after power-up', () => {
  it.each([0, 7000])('at %s ms: the first samples have 200 ms to come', (from) => {
    const config = configOf(gateOf(LEAF));
    const b = new Bench(config, ALL);
    b.state = initial(config);
    b.fresh = false;
    b.put('stopLoop', false);
    const at = (t: number): string[] => b.give({ t: from + t, tick: true }).faults();
    expect([at(0), at(199), at(200)]).toEqual([[], [], ['stop-pressed', 'inputs-lost']]);
  });
  it('one that runs before its first samples were due stops at once', () => {
    const b = new Bench(CONFIG, ALL).put('stopLoop', false).ask({ mode: 'running' });
    expect(b.faults()).toEqual(['stop-pressed']);
  });

  it('every direction counts as just gone off', () => {
    const b = new Bench(CONFIG, ALL);
    const off = { extendOffAt: 0, retractOffAt: 0, dutyAt: 0 };
    expect(b.state.leaves).toMatchObject({ leafA: off, leafB: off });
    b.ask({ mode: 'homing', started: true, confirmed: true });
    expect([b.wait(240).on(), b.wait(20).on()]).toEqual([[], ['leafA.retract']]);
  });
  it('so does it when the relay board comes back', () => {
    const b = new Bench(CONFIG, ALL).wait(1000);
    b.give({ t: b.t, link: 'relays', up: false }).give({ t: b.t, link: 'relays', up: true });
    expect(b.state.leaves['leafB']).toMatchObject({ extendOffAt: 1000, retractOffAt: 1000 });
    expect(b.faults()).toEqual([]);
  });
  it('another link says nothing of the relays', () => {
    const b = new Bench(CONFIG, ALL).wait(1000).give({ t: 1000, link: 'reader', up: false });
    expect(b.state.leaves['leafB']).toMatchObject({ extendOffAt: 0 });
    const before = b.state.supply;
    b.give({ t: 1000, link: 'scale', up: false }).give({ t: 1000, link: 'page', up: false });
    expect(b.state.supply).toEqual(before);
  });
});
