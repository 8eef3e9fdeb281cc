import { describe, expect, it } from 'vitest';
import { Bench, configOf, gateOf, LEAF, SWITCHED } from './gate-bench.ts';

const GATE = gateOf(LEAF);
const ALL = ['frontShut', 'stopLoop', 'actuatorPower', 'laneClear'];
const running = (config = configOf(GATE), contacts = ALL): Bench =>
  new Bench(config, contacts).start().wait(300);

describe('an automatic stroke', () => {
  it('begins where nothing is against it', () => {
    const b = running().ask({ exit: 'left' }).wait(20);
    expect(b.result.waits).toEqual([]);
    expect(b.on()).toEqual(['leafA.extend']);
  });

  it.each([
    ['the front', 'frontShut', ['front']],
    ['the lane', 'laneClear', ['lane']],
  ])('waits for %s', (_, contact, waits) => {
    const b = running().set(contact, false).ask({ exit: 'left' }).wait(60);
    expect(b.result.waits).toEqual(expect.arrayContaining(waits));
    expect(b.on()).toEqual([]);
  });

  it('names every reason at once', () => {
    const b = new Bench(configOf(GATE, { keepAliveProved: false }), ALL);
    b.set('stopLoop', false).set('actuatorPower', false).set('frontShut', false);
    b.fresh = false;
    b.give({ t: 0, link: 'records', up: false }).load('silent').ask({});
    expect(b.result.waits).toEqual([
      'mode',
      'stop',
      'power',
      'contacts',
      'front',
      'confirm',
      'scale',
      'position',
      'records',
      'keep-alive',
    ]);
  });

  it('waits for a weigh head that answers; one by hand does not', () => {
    const b = running().load('silent').ask({ exit: 'left' }).wait(60);
    expect([b.result.waits, b.on()]).toEqual([['scale'], []]);
    b.ask({ byHand: true }).wait(20);
    expect([b.result.waits, b.on()]).toEqual([[], ['leafA.extend']]);
    expect(b.state.leaves['leafA']?.stroke?.kind).toBe('by-hand');
  });

  it('waits for records that are saved, and says so', () => {
    const b = running().give({ t: 0, link: 'records', up: false }).ask({ exit: 'left' }).wait(60);
    expect([b.result.waits, b.on(), b.faults()]).toEqual([['records'], [], ['records-not-saved']]);
    b.give({ t: b.t, link: 'records', up: true }).wait(40);
    expect([b.on(), b.faults()]).toEqual([['leafA.extend'], []]);
  });

  it('is never begun with a keep-alive that nobody proved', () => {
    const b = new Bench(configOf(GATE, { keepAliveProved: false }), ALL).wait(300);
    b.ask({ mode: 'homing', started: true, confirmed: true }).wait(1000);
    expect(b.on()).toEqual([]);
    expect(b.result.waits).toEqual(['keep-alive']);
    expect(b.faults()).toEqual(['keep-alive-unproved']);
  });

  it('stopped, nothing holds and no condition is told', () => {
    const b = new Bench(configOf(GATE, { keepAliveProved: false }), ALL);
    b.give({ t: 0, link: 'records', up: false });
    expect(b.wait(300).faults()).toEqual([]);
  });

  it('does not begin in any other mode', () => {
    for (const mode of ['stopped', 'fitting', 'paused', 'fault'] as const) {
      const b = running().ask({ mode, exit: 'left' }).wait(200);
      expect([b.on(), b.result.waits.includes('mode')]).toEqual([[], true]);
    }
  });
});

describe('battery', () => {
  const battery = { lowVolts: 11.8, staleMs: 5000 };
  const fitted = (): Bench => new Bench(configOf(GATE, { battery }), ALL);
  const wish = (b: Bench): string[] => {
    return b.ask({ mode: 'running' }).result.waits.filter((wait) => wait === 'battery');
  };

  it('no reading yet: nothing begins', () => {
    const b = fitted();
    expect(wish(b)).toEqual(['battery']);
    expect(b.faults()).toContain('battery-low');
  });
  it('low from just below its limit', () => {
    expect(wish(fitted().give({ t: 0, volts: 11.8 }))).toEqual([]);
    expect(wish(fitted().give({ t: 0, volts: 11.79 }))).toEqual(['battery']);
  });
  it('a reading that is too old is none', () => {
    const b = fitted().give({ t: 0, volts: 12.6 });
    b.t = 5000;
    expect(wish(b)).toEqual([]);
    b.t = 5001;
    expect(wish(b)).toEqual(['battery']);
  });
  it('counts the age of a reading from when it came', () => {
    const b = fitted().give({ t: 0, volts: 12.6 }).wait(4000);
    b.give({ t: b.t, volts: 12.6 }).wait(4000);
    expect(wish(b)).toEqual([]);
    expect(wish(b.wait(1100))).toEqual(['battery']);
  });
  it('its link down, the last reading is worth nothing', () => {
    const b = fitted().give({ t: 0, volts: 12.6 }).give({ t: 0, link: 'battery', up: false });
    expect(wish(b)).toEqual(['battery']);
    expect(wish(b.give({ t: 0, link: 'battery', up: true }))).toEqual([]);
  });
  it('where none is fitted nothing is asked of it', () => {
    const b = new Bench(configOf(GATE), ALL).give({ t: 0, volts: 2 });
    expect(wish(b)).toEqual([]);
    expect(b.faults()).toEqual([]);
  });
  it('low under way lets the stroke end and begins no other', () => {
    const b = fitted();
    for (const volts of [12.6, 12.6]) b.give({ t: b.t, volts });
    b.start().give({ t: b.t, volts: 12.6 }).wait(300).ask({ exit: 'left' }).wait(100);
    b.give({ t: b.t, volts: 11 }).wait(300);
    expect(b.on()).toEqual(['leafA.extend']);
    b.wait(1000).ask({ exit: 'ahead' }).wait(600);
    expect(b.on()).toEqual([]);
    expect(b.result.at).toBe('left');
  });
});

describe('positions', () => {
  it('timed ones are assumed, those by switches known', () => {
    expect(running().result.leaves).toEqual({
      leafA: { position: 'retracted', assumed: true, moving: null },
      leafB: { position: 'retracted', assumed: true, moving: null },
    });
    const known = { position: 'retracted', assumed: false, moving: null };
    const b = running(configOf(gateOf(SWITCHED)));
    expect(b.result.leaves).toEqual({ leafA: known, leafB: known });
  });

  it('an unknown one holds the automatic strokes until a start sends it home', () => {
    const b = running().ask({ exit: 'left' }).wait(200).ask({ mode: 'stopped' });
    expect(b.result).toMatchObject({ at: null, needsHoming: true });
    b.wait(300).ask({ mode: 'running', started: true, confirmed: true, exit: 'ahead' }).wait(600);
    expect([b.on(), b.result.waits]).toEqual([[], ['position']]);
    b.ask({ mode: 'stopped' }).start();
    expect(b.result).toMatchObject({ at: 'ahead', needsHoming: false, homed: false });
  });

  it('after so many strokes on timed travel it has to be homed or looked at', () => {
    const b = running(configOf(gateOf(LEAF, { rehomeAfterStrokes: 3 })));
    const to = (exit: string): Bench => b.ask({ exit }).wait(1500);
    for (const exit of ['left', 'ahead', 'left']) expect(to(exit).result.at).toBe(exit);
    expect(b.faults()).toEqual(['position-unproved leafA']);
    expect(b.result).toMatchObject({ needsHoming: true, waits: ['position'] });
    expect(to('ahead').result.at).toBe('left');
    b.ask({ confirmed: true });
    expect(b.faults()).toEqual([]);
    expect(to('ahead').result.at).toBe('ahead');
  });

  it('a word that does not count confirms no position', () => {
    const b = running(configOf(gateOf(LEAF, { rehomeAfterStrokes: 1 })));
    b.ask({ exit: 'left' }).wait(1500).set('frontShut', false);
    b.ask({ started: true, confirmed: true });
    expect(b.faults()).toContain('position-unproved leafA');
    expect(b.state.lane.needsConfirm).toBe(true);
  });

  it('a new start homes what was counted out', () => {
    const b = running(configOf(gateOf(LEAF, { rehomeAfterStrokes: 2 })));
    b.ask({ exit: 'left' }).wait(1500).ask({ exit: 'ahead' }).wait(1500);
    expect(b.result.needsHoming).toBe(true);
    b.ask({ mode: 'paused', exit: null }).wait(100).start();
    expect(b.result.needsHoming).toBe(false);
    expect(b.state.leaves['leafA']?.strokes).toBe(0);
  });

  it('with switches no number of strokes matters', () => {
    const b = running(configOf(gateOf(SWITCHED, { rehomeAfterStrokes: 1 })));
    b.ask({ exit: 'left' }).wait(1500).ask({ exit: 'ahead' }).wait(1500);
    expect(b.result).toMatchObject({ at: 'ahead', needsHoming: false, waits: [] });
    expect(b.faults()).toEqual([]);
  });

  it('while a leaf moves the gate stands at no exit', () => {
    const b = running().ask({ exit: 'left' }).wait(200);
    expect(b.result).toMatchObject({ at: null, moving: true, needsHoming: false });
    expect(b.result.leaves['leafA']).toMatchObject({ position: 'unknown', moving: 'extend' });
  });
});

describe('homing', () => {
  it('sends one leaf after the other to its end and then says that all are home', () => {
    const b = new Bench(configOf(GATE), ALL).wait(300);
    b.ask({ mode: 'homing', started: true, confirmed: true });
    expect(b.wait(20).on()).toEqual(['leafA.retract']);
    expect(b.state.leaves['leafA']?.stroke?.kind).toBe('homing');
    expect(b.wait(980).on()).toEqual(['leafB.retract']);
    expect(b.result.homed).toBe(false);
    expect(b.wait(1000).result.homed).toBe(true);
    expect(b.on()).toEqual([]);
    expect(b.result.at).toBe('ahead');
  });

  it('needs neither scale nor known positions', () => {
    const b = new Bench(configOf(GATE), ALL).load('silent').wait(300);
    b.ask({ mode: 'homing', started: true, confirmed: true });
    expect([b.wait(20).on(), b.result.waits]).toEqual([['leafA.retract'], []]);
  });

  it('leaves alone what its switch shows at home', () => {
    const b = new Bench(configOf(gateOf(SWITCHED)), ALL);
    b.places['leafB'] = 0.5;
    b.set('leafB.retracted', false).wait(300);
    b.ask({ mode: 'homing', started: true, confirmed: true }).wait(20);
    expect(b.on()).toEqual(['leafB.retract']);
    b.wait(600);
    expect(b.result).toMatchObject({ at: 'ahead', needsHoming: false });
    expect(b.events.filter((e) => e.kind === 'stroke')).toHaveLength(2);
  });

  it('a timed leaf that went since it was homed is at home only when somebody has looked', () => {
    const b = running().ask({ exit: 'left' }).wait(1500).ask({ exit: 'ahead' }).wait(1500);
    b.ask({ mode: 'paused', exit: null }).wait(300).ask({ mode: 'homing', started: true });
    expect(b.wait(500).result.homed).toBe(false);
    const strokes = b.events.length;
    expect(b.ask({ confirmed: true }).result.homed).toBe(true);
    expect(b.events).toHaveLength(strokes);
  });

  it('a pause lets the stroke under way end, and homing does not go on', () => {
    const b = new Bench(configOf(GATE), ALL).wait(300);
    b.ask({ mode: 'homing', started: true, confirmed: true }).wait(100).ask({ mode: 'paused' });
    expect(b.wait(800).on()).toEqual(['leafA.retract']);
    expect(b.wait(1500).on()).toEqual([]);
    expect(b.result.leaves['leafB']?.position).toBe('unknown');
  });

  it('waits as long as something is against it', () => {
    const b = new Bench(configOf(GATE), ALL).set('frontShut', false).wait(300);
    b.ask({ mode: 'homing', started: true }).set('frontShut', true).wait(1000);
    expect([b.on(), b.result.waits]).toEqual([[], ['confirm']]);
    b.ask({ confirmed: true }).wait(300);
    expect(b.on()).toEqual(['leafA.retract']);
  });

  it('a gate whose leaf home does not name is never home', () => {
    const exits = { ...GATE.exits, ahead: { leafA: 'retracted' as const } };
    const b = new Bench(configOf(gateOf(LEAF, { exits })), ALL).wait(300);
    b.ask({ mode: 'homing', started: true, confirmed: true }).wait(3000);
    expect(b.result.homed).toBe(false);
  });
});

describe('moving to an exit', () => {
  it('moves every leaf that stands wrong, each in its direction', () => {
    const b = running().ask({ exit: 'left' }).wait(1500).ask({ exit: 'right' }).wait(20);
    expect(b.on()).toEqual(['leafA.retract', 'leafB.extend']);
    expect(b.wait(1500).result.at).toBe('right');
  });
  it('an exit that the gate has not moves nothing', () => {
    expect(running().ask({ exit: 'nowhere' }).wait(100).on()).toEqual([]);
  });
  it('no wish, no motion', () => {
    expect(running().ask({ exit: null }).wait(100).on()).toEqual([]);
  });
  it('two leaves begin no nearer to each other than the stagger', () => {
    const b = running(configOf(gateOf(LEAF, { staggerMs: 100 })));
    b.ask({ exit: 'left' }).wait(1500).ask({ exit: 'right' }).wait(20);
    const begun = (): number => b.on().length;
    expect(begun()).toBe(1);
    expect([b.wait(60).on().length, b.wait(20).on().length]).toEqual([1, 2]);
  });
  it('a new wish during a stroke waits for its end and the dead time', () => {
    const b = running().ask({ exit: 'left' }).wait(200).ask({ exit: 'ahead' }).wait(760);
    expect(b.on()).toEqual(['leafA.extend']);
    expect(b.wait(240).on()).toEqual([]);
    expect(b.wait(60).on()).toEqual(['leafA.retract']);
  });
});

describe('the warning before motion', () => {
  const WARNED = configOf(gateOf(LEAF, { warnMs: { first: 300, later: 100 } }));

  it('is given the first time of a session for its time, later for the shorter one', () => {
    const b = new Bench(WARNED, ALL).wait(300);
    b.ask({ mode: 'homing', started: true, confirmed: true });
    const since = b.t;
    expect(b.result).toMatchObject({ warning: true, warningAt: since, warnsFirst: true });
    expect(b.wait(280).on()).toEqual([]);
    expect(b.wait(20).on()).toEqual(['leafA.retract']);
    expect(b.result).toMatchObject({ warning: false, warningAt: null, warnsFirst: false });
    for (let n = 0; n < 200 && !b.result.homed; n += 1) b.wait(20);
    b.ask({ mode: 'running', exit: 'left' });
    expect(b.result).toMatchObject({ warning: true, warnsFirst: false });
    expect([b.wait(80).on(), b.wait(20).on()]).toEqual([[], ['leafA.extend']]);
  });

  it('is long again after a stop', () => {
    const b = running(WARNED);
    expect(b.result.warnsFirst).toBe(false);
    expect(b.ask({ mode: 'stopped' }).result.warnsFirst).toBe(true);
  });

  it('front opened or lane entered only cancels it, and it is given anew', () => {
    const b = running(WARNED).ask({ exit: 'left' }).wait(60).set('frontShut', false);
    expect(b.result).toMatchObject({ warning: false, tripped: false });
    expect(b.faults()).toEqual([]);
    b.wait(200).set('frontShut', true).wait(200);
    const anew = b.t;
    expect(b.result).toMatchObject({ warning: true, warningAt: anew });
    expect([b.wait(80).on(), b.wait(20).on()]).toEqual([[], ['leafA.extend']]);
  });

  it('is cancelled by a wish that goes, a pause and a stop', () => {
    const warned = (): Bench => running(WARNED).ask({ exit: 'left' }).wait(40);
    expect(warned().ask({ exit: null }).result.warning).toBe(false);
    expect(warned().ask({ mode: 'paused' }).result.warning).toBe(false);
    expect(warned().ask({ mode: 'stopped' }).result.warning).toBe(false);
    expect(warned().ask({ exit: 'ahead' }).result.warning).toBe(false);
  });

  it('homing takes it back where something is against it', () => {
    const b = new Bench(WARNED, ALL).wait(300);
    b.ask({ mode: 'homing', started: true, confirmed: true }).wait(100).set('frontShut', false);
    expect(b.result.warning).toBe(false);
  });
});
