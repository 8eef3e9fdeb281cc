/** The animal on the crate: its decision, changes of it, the call and the let-go signal. */
import { describe, expect, it } from 'vitest';
import type { Plan } from '../../../src/core/sortplan/plan.ts';
import type { Config } from '../../../src/core/step.ts';
import type { Estimate } from '../../../src/core/weighing/result.ts';
import { configWith, Script } from '../script.ts';

const FRONT = configWith(['frontShut']);
const begun = (config: Config = FRONT): Script => new Script(config, true).begin();
const withPlan = (plan: Partial<Plan>): Config => ({ ...FRONT, plan: { ...FRONT.plan, ...plan } });
const calls = (s: Script): string[] => s.of('call').map((e) => e.reason);
const decided = (s: Script): string[] =>
  s.of('decided').map((e) => `${e.revision} ${e.rule} ${e.exit ?? '-'}`);
const TAGS = {
  lists: [{ file: 'keep-back.csv', lot: 'Stores' }],
  withdrawal: { lot: 'Stores' },
  unread: 'hold' as const,
};
const KNOWN = { held: false, list: 'keep-back.csv', lastKg: null, lastDays: null };
const estimate = (kg: number, change: Partial<Estimate> = {}): Estimate => ({
  kg,
  u95Kg: 0.04,
  uKg: 0.02,
  settled: true,
  spanMs: 1000,
  toCome: { half: 0, foot: 0 },
  ...change,
});
/** On with a weight that does not settle. */
const restless = (s: Script, kg: number): Script => {
  s.look = { estimate: estimate(kg, { settled: false, uKg: 5 }) };
  return s.weigh(kg);
};

describe('what decides', () => {
  it('settled', () => {
    expect(decided(begun().weigh(36).wait(100))).toEqual(['0 settled left']);
  });
  it('sure, where it is not settled yet', () => {
    const s = begun();
    s.look = { estimate: estimate(36, { settled: false }) };
    expect(decided(s.weigh(36).wait(100))).toEqual(['0 sure left']);
  });
  it('neither, where it is too near a cut', () => {
    const s = begun();
    s.look = { estimate: estimate(39.9, { settled: false, uKg: 0.2, spanMs: 300 }) };
    expect(decided(s.weigh(39.9).wait(100))).toEqual([]);
  });
  it('without a settle rule only sure', () => {
    const plan = withPlan({ decide: { hysteresisKg: 0.3, confidence: 0.995, callAfterMs: 5000 } });
    expect(decided(begun(plan).weigh(36).wait(100))).toEqual(['0 sure left']);
  });
  it('without a confidence only settled', () => {
    const { settle } = FRONT.plan.decide;
    const decide = { hysteresisKg: 0.3, callAfterMs: 5000, ...(settle ? { settle } : {}) };
    const s = begun(withPlan({ decide }));
    s.look = { estimate: estimate(36, { settled: false }) };
    expect(decided(s.weigh(36).wait(100))).toEqual([]);
    s.look = {};
    expect(decided(s.wait(20))).toEqual(['0 settled left']);
  });
  it('nothing while the zero is not known, or the last reading is old', () => {
    const s = begun();
    s.look = { zeroKnown: false };
    expect(decided(s.weigh(36).wait(100))).toEqual([]);
    s.look = { fresh: false };
    expect(decided(s.wait(100))).toEqual([]);
  });
  it('tells weight, lot and reason', () => {
    const s = begun().weigh(36.004).wait(20);
    expect(s.of('decided')).toEqual([
      {
        kind: 'decided',
        t: s.t,
        animal: 1,
        lot: 'Stores',
        exit: 'left',
        kg: 36,
        rule: 'settled',
        reason: '36 kg: Stores, below 40; settled after 0 s',
        revision: 0,
      },
    ]);
  });
});

describe('a weight that changes', () => {
  it('the signal goes for half a second, then the leaves move', () => {
    const s = begun().weigh(36).wait(3000);
    expect(s.of('ready')).toHaveLength(1);
    const changed = s.t + 20;
    s.weigh(50).wait(20);
    expect(decided(s)).toEqual(['0 settled left', '1 settled right']);
    expect(s.state.cycle.animal).toMatchObject({ readyAt: null, takenBackAt: changed });
    s.wait(480);
    expect(s.moving()).toEqual([]);
    s.wait(20);
    expect(s.moving()).toEqual(['leafA.retract']);
    s.wait(2000);
    expect(s.of('ready')).toMatchObject([{ exit: 'left' }, { exit: 'right' }]);
  });
  it('before the signal the leaves need not wait for its going', () => {
    const s = begun().weigh(36).wait(200).weigh(50).wait(20);
    expect(s.state.cycle.animal?.takenBackAt).toBeNull();
  });
  it('within the leeway of the cut nothing changes', () => {
    const s = begun().weigh(39.8).wait(1000).weigh(40.2).wait(1000);
    expect(decided(s)).toEqual(['0 settled left']);
    expect(decided(s.weigh(40.4).wait(100))).toEqual(['0 settled left', '1 settled ahead']);
  });
  it('two changes at the most, then held and called once', () => {
    const s = begun();
    for (const kg of [36, 50, 36]) s.weigh(kg).wait(1000);
    expect(calls(s)).toEqual([]);
    s.weigh(50).wait(1000);
    expect(decided(s)).toEqual(['0 settled left', '1 settled right', '2 settled left']);
    expect(calls(s)).toHaveLength(1);
    expect(calls(s)[0]).toMatch(/^changed twice already; now 50 kg/);
    expect(s.of('unsure')).toHaveLength(1);
    expect(s.state.cycle.animal?.decision).toMatchObject({ exit: null, lot: null, flags: [] });
    s.weigh(43).wait(1000);
    expect(calls(s)).toHaveLength(1);
  });
  it('then a person’s word goes all the same', () => {
    const s = begun();
    for (const kg of [36, 50, 36, 50]) s.weigh(kg).wait(1000);
    s.say({ do: 'exit', exit: 'ahead' }).wait(2500);
    expect(decided(s).at(-1)).toBe('3 by-hand ahead');
    expect(s.of('ready').at(-1)?.exit).toBe('ahead');
    expect(s.state.cycle.animal?.calledAt).toBeNull();
  });
  it('that speaks against the decision but is not good: no signal until it is', () => {
    const s = begun().weigh(36).wait(3000);
    restless(s, 50).wait(100);
    expect(s.state.cycle.animal).toMatchObject({ doubtful: true, readyAt: null });
    expect(decided(s)).toEqual(['0 settled left']);
    s.look = {};
    s.weigh(36).wait(600);
    expect(s.of('ready')).toHaveLength(2);
  });
  it('and after the call time it is not sure', () => {
    const s = begun().weigh(36).wait(5000);
    restless(s, 50).wait(100);
    expect(calls(s)).toEqual(['not sure: the weight has changed: hold']);
  });
});

describe('not sure', () => {
  it('is called for at the call time, not before, and once', () => {
    const s = restless(begun(), 40).wait(20);
    const entered = s.state.cycle.animal?.enteredAt ?? 0;
    s.wait(4980);
    expect(calls(s)).toEqual([]);
    s.wait(2000);
    expect(calls(s)).toEqual(['not sure: the weight does not settle: hold']);
    expect(s.of('call')[0]?.t).toBe(entered + 5000);
    expect(s.of('unsure')).toMatchObject([{ animal: 1 }]);
  });
  it.each([
    ['front-feet-only', 'only the front feet are on'],
    ['leaning', 'something leans on the crate or lifts it'],
    ['two-animals', 'two animals are on'],
    ['overload', 'the weigh head is overloaded'],
    ['negative', 'the weight is below zero'],
    ['stuck', 'the weight does not move'],
    ['zero-unknown', 'the zero of the crate is not known'],
    ['empty-drifting', 'the empty crate drifts'],
    ['unit-changed', 'the weigh head changed its unit'],
    ['readings-late', 'the readings come late'],
    ['weigh-head-error', 'the weigh head reports an error'],
  ] as const)('%s: %s', (oddity, words) => {
    const s = begun();
    s.look = { oddities: [oddity] };
    expect(calls(s.weigh(36).wait(5100))).toEqual([`not sure: ${words}: hold`]);
  });
  it('goes on being weighed, and a good weight decides', () => {
    const s = restless(begun(), 40).wait(6000);
    s.look = {};
    s.weigh(36).wait(3000);
    expect(decided(s)).toEqual(['0 settled left']);
    expect(s.of('ready')).toHaveLength(1);
  });
  it('a plan that sends it somewhere lets it go there', () => {
    const s = restless(begun(withPlan({ unsure: { exit: 'left' } })), 40).wait(8000);
    expect(decided(s)).toEqual(['0 unsure left']);
    expect(s.of('ready')).toHaveLength(1);
    expect(calls(s)).toEqual([]);
    s.letGo();
    expect(s.of('let-go')[0]?.crossing).toMatchObject({ unsure: true, rule: 'unsure' });
  });
  it('an oddity after a good decision takes the signal away until the call', () => {
    const s = begun().weigh(36).wait(3000);
    s.look = { oddities: ['leaning'] };
    s.wait(1000);
    expect(s.state.cycle.animal).toMatchObject({ doubtful: true, readyAt: null });
    s.wait(2000);
    expect(calls(s)).toEqual(['not sure: something leans on the crate or lifts it: hold']);
  });
  it('by hand it goes whatever looks odd', () => {
    const s = begun();
    s.look = { oddities: ['leaning'] };
    s.weigh(36).wait(1000).say({ do: 'exit', exit: 'left' }).wait(2500);
    expect([decided(s), s.of('ready').length, calls(s)]).toEqual([['0 by-hand left'], 1, []]);
  });
  it('silence of the weigh head takes nothing from what good readings decided', () => {
    const s = begun().weigh(36).wait(3000);
    s.look = { fresh: false };
    s.wait(6000);
    expect([decided(s), calls(s)]).toEqual([['0 settled left'], []]);
  });
  it('two tags are not sure', () => {
    const s = begun(withPlan({ tags: TAGS }))
      .weigh(36)
      .wait(100);
    s.give({ t: s.t, tag: '999000000000001', known: { ...KNOWN, list: null } });
    s.give({ t: s.t, tag: '999000000000002', known: { ...KNOWN, list: null } }).wait(5000);
    expect(calls(s)[0]).toContain('two tags were read');
  });
});

describe('the let-go signal', () => {
  it('waits until every leaf is in place and none moves', () => {
    const s = begun().weigh(36).wait(200);
    while (s.moving().length > 0) {
      expect(s.of('ready')).toEqual([]);
      s.wait(20);
    }
    s.wait(20);
    expect(s.of('ready')).toMatchObject([{ animal: 1, exit: 'left' }]);
  });
  it('is taken back by a pause and given again after', () => {
    const s = begun().weigh(36).wait(3000).say({ do: 'pause' });
    expect(s.state.cycle.animal?.readyAt).toBeNull();
    s.say({ do: 'start' }).say({ do: 'confirm' });
    expect(s.wait(480).of('ready')).toHaveLength(1);
    expect(s.wait(60).of('ready')).toHaveLength(2);
  });
  it.each(['records', 'battery'] as const)('%s that failed before it came hold it', (link) => {
    const config = { ...FRONT, battery: { lowVolts: 11, staleMs: 600_000 } };
    const s = new Script(config, true).give({ t: 0, volts: 12.5 }).begin();
    s.give({ t: s.t, link, up: false }).wait(40).weigh(42).wait(3000);
    expect([decided(s), s.of('ready')]).toEqual([['0 settled ahead'], []]);
    s.give({ t: s.t, link, up: true }).wait(60);
    expect(s.of('ready')).toHaveLength(1);
  });
  it.each(['records', 'battery'] as const)('%s that fail meanwhile let it be finished', (link) => {
    const config = { ...FRONT, battery: { lowVolts: 11, staleMs: 600_000 } };
    const s = new Script(config, true).give({ t: 0, volts: 12.5 }).begin();
    s.weigh(42).wait(20).give({ t: s.t, link, up: false }).wait(3000);
    expect(s.of('ready')).toHaveLength(1);
  });
  it('for a tag’s decision waits for a weight worth recording, until the call time', () => {
    const s = restless(begun(withPlan({ tags: TAGS })), 42).wait(100);
    s.give({ t: s.t, tag: '999000000000003', known: KNOWN }).wait(3000);
    expect([decided(s), s.of('ready')]).toEqual([['0 tag left'], []]);
    s.wait(2000);
    expect(s.of('ready')).toHaveLength(1);
    const good = begun(withPlan({ tags: TAGS }));
    good.give({ t: good.t, tag: '999000000000003', known: KNOWN }).weigh(42).wait(2000);
    expect(good.of('ready')).toHaveLength(1);
  });
  it('by a plan that sorts without weight waits for none', () => {
    const s = restless(begun(withPlan({ tags: TAGS, work: 'sort-only' })), 42).wait(100);
    s.give({ t: s.t, tag: '999000000000003', known: KNOWN }).wait(2500);
    expect(s.of('ready')).toHaveLength(1);
  });
  it('where only weighed it is given where the gate stands', () => {
    const s = begun(withPlan({ work: 'weigh-only' }))
      .weigh(36)
      .wait(100);
    expect(s.of('ready')).toMatchObject([{ exit: 'ahead' }]);
    expect(s.outputs['letGoLamp']).toBe(true);
    s.letGo();
    expect(s.of('let-go')[0]?.crossing).toMatchObject({ exit: 'ahead', lot: null, flags: [] });
  });
});

describe('waiting for a look', () => {
  const LOOK = 'nobody has confirmed that the lane is clear: look, then confirm';
  it('is called once after two seconds and the hold time of the lane', () => {
    const s = begun().say({ do: 'stop' }).wait(400).say({ do: 'start' }).weigh(36).wait(20);
    const since = s.t;
    s.wait(2980);
    expect(calls(s)).toEqual([]);
    s.wait(5000);
    expect(calls(s)).toEqual([LOOK]);
    expect(s.of('call')[0]?.t).toBe(since + 3000);
    s.say({ do: 'confirm' }).wait(2500);
    expect([s.of('ready').length, calls(s).length]).toEqual([1, 1]);
    expect(s.state.cycle.animal?.waitsAt).toBeNull();
  });
  it('counts anew when the reason went meanwhile', () => {
    const s = begun().say({ do: 'stop' }).wait(400).say({ do: 'start' }).weigh(36).wait(2000);
    expect(s.state.cycle.animal?.waitsAt).not.toBeNull();
    s.say({ do: 'pause' }).wait(100);
    expect(s.state.cycle.animal?.waitsAt).toBeNull();
  });
  it('a beam that stays broken, a rail that is dead and a leaf that hangs have their own words', () => {
    const beam = begun(configWith(['frontShut', 'laneClear'])).set('laneClear', false);
    expect(calls(beam.weigh(36).wait(4000))).toEqual([
      'the lane is not seen clear: look, then confirm',
    ]);
    const rail = begun(configWith(['frontShut', 'actuatorPower']));
    rail.say({ do: 'stop' }).wait(100).set('actuatorPower', false).wait(100);
    rail.say({ do: 'start' }).say({ do: 'confirm' }).weigh(36).wait(4000);
    expect(calls(rail)).toEqual(['the actuators have no power: reset the drop-out relay']);
    const hangs = begun().weigh(36).wait(200);
    hangs.say({ do: 'hold', output: 'leafA.retract' }).wait(40);
    hangs.state = { ...hangs.state, cycle: { ...hangs.state.cycle, mode: 'running' } };
    expect(calls(hangs.wait(4000))).toEqual([
      'a leaf stands between its ends: pause, then start to send the leaves home',
    ]);
  });
});

describe('held for a minute', () => {
  it('is said from 60 s on, until it is let go', () => {
    const s = restless(begun(), 40).wait(60_000);
    expect(s.faults()).not.toContain('held-long');
    s.wait(20);
    expect(s.faults()).toContain('held-long');
    s.set('frontShut', false).wait(20);
    expect(s.of('fault').at(-1)).toMatchObject({ fault: 'held-long', on: false });
  });
  it('is heard when the call was answered, until it is answered too', () => {
    const s = restless(begun(), 40).wait(7000).say({ do: 'answer' }).wait(54_000);
    const heard = (): string => {
      let text = '';
      for (let i = 0; i < 60; i += 1) text += s.wait(100).outputs['sounder'] ? '#' : '.';
      return text;
    };
    expect(heard()).toContain('#.#.#.....');
    s.say({ do: 'answer' });
    expect(heard()).not.toContain('#');
  });
});
