/** The edges of a decision: what turns it, what holds it back, and from exactly when. */
import { describe, expect, it } from 'vitest';
import type { Plan } from '../../../src/core/sortplan/plan.ts';
import type { Config } from '../../../src/core/step.ts';
import type { KnownFacts } from '../../../src/core/trace.ts';
import { configWith, Script } from '../script.ts';

const FRONT = configWith(['frontShut', 'undoButton']);
const begun = (config: Config = FRONT): Script => new Script(config, true).begin();
const withPlan = (plan: Partial<Plan>): Config => ({ ...FRONT, plan: { ...FRONT.plan, ...plan } });
const animal = (s: Script) => s.state.cycle.animal;
const calls = (s: Script): string[] => s.of('call').map((e) => e.reason);
const decided = (s: Script): string[] => s.of('decided').map((e) => `${e.rule} ${e.exit ?? '-'}`);
/** On with a weight that does not settle. */
const restless = (s: Script, kg: number): Script => {
  const toCome = { half: 0, foot: 0 };
  s.look = { estimate: { kg, u95Kg: 10, uKg: 5, settled: false, spanMs: 300, toCome } };
  return s.weigh(kg);
};
const settled = (s: Script, kg: number): Script => {
  s.look = {};
  return s.weigh(kg);
};
const TAGS = { lists: [], withdrawal: { lot: 'Stores' }, unread: { lot: 'Stores' } };
const FREE: KnownFacts = { held: false, list: null, lastKg: null, lastDays: null };
const unconfirmed = (): Script =>
  new Script(FRONT, true).set('frontShut', true).wait(600).say({ do: 'start' });

describe('a hand', () => {
  it('goes although the weight that decided before is restless now', () => {
    const s = restless(begun().weigh(36).wait(100), 36.1).say({ do: 'exit', exit: 'right' });
    expect(decided(s.wait(3000))).toEqual(['settled left', 'by-hand right']);
    expect(s.of('ready').at(-1)).toMatchObject({ exit: 'right' });
  });
  it('taken back after two changes leaves it to the weight again', () => {
    const s = begun();
    for (const kg of [36, 50, 36]) s.weigh(kg).wait(1500);
    s.say({ do: 'exit', exit: 'ahead' }).wait(100).set('undoButton', true).wait(200);
    expect(decided(s).slice(-2)).toEqual(['by-hand ahead', 'settled left']);
    expect(calls(s)).toEqual([]);
  });
  it('to an exit without a lot is taken out of a hold', () => {
    const lots = FRONT.plan.lots.filter((lot) => lot.exit !== 'right');
    const plan = {
      lots: lots.map((lot, i) => (i === 0 ? lot : { name: lot.name, exit: lot.exit })),
    };
    const s = restless(begun(withPlan(plan)), 36)
      .wait(5100)
      .say({ do: 'exit', exit: 'right' });
    expect(animal(s)?.decision).toMatchObject({ lot: null, exit: 'right', rule: 'by-hand' });
  });
});

describe('a hold', () => {
  it('after two changes is not sure in the row too, if it is let out', () => {
    const s = begun();
    for (const kg of [36, 50, 36, 50]) s.weigh(kg).wait(3000);
    const crossing = s.letGo().of('let-go').at(-1)?.crossing;
    expect(crossing).toMatchObject({ rule: 'unsure', unsure: true });
  });
  it('of a full lot gives that lot no leeway', () => {
    const lots = FRONT.plan.lots.map((lot) =>
      lot.name === 'Fit' ? { ...lot, capacity: 1, whenFull: 'stop' as const } : lot,
    );
    const s = begun(withPlan({ lots })).say({ do: 'session', counts: { Fit: 1 } });
    s.say({ do: 'stop' })
      .say({ do: 'start', counts: { Fit: 1 } })
      .say({ do: 'confirm' })
      .wait(600);
    s.weigh(40.1).wait(200);
    expect(animal(s)?.decision).toMatchObject({ exit: null });
    s.weigh(39.9).wait(200);
    expect(animal(s)?.decision).toMatchObject({ lot: 'Stores', exit: 'left' });
  });
  it('where only weighed ends with a good weight', () => {
    const s = restless(begun(withPlan({ work: 'weigh-only' })), 36).wait(5100);
    expect(s.of('ready')).toEqual([]);
    settled(s, 36).wait(100);
    expect(s.of('ready')).toHaveLength(1);
  });
});

describe('the plan’s way for the unsure', () => {
  it('lets go an animal whose weight goes on looking odd', () => {
    const s = begun(withPlan({ unsure: { exit: 'left' } }));
    s.look = { oddities: ['leaning'] };
    s.weigh(36).wait(9000);
    expect([decided(s), s.of('ready').length]).toEqual([['unsure left'], 1]);
  });
  it('is not taken for one that was decided before the weigh head fell silent', () => {
    const s = begun().weigh(36).wait(1000).weigh(null).wait(6000);
    expect([decided(s), s.of('unsure')]).toEqual([['settled left'], []]);
  });
});

describe('a tag that does not come', () => {
  it('is waited for from the first weight on, so long as the plan says', () => {
    const s = begun(withPlan({ tags: TAGS }));
    s.look = { estimate: null };
    s.weigh(36).wait(3000);
    s.look = {};
    s.wait(5000);
    expect(decided(s)).toEqual([]);
    expect(decided(s.wait(40))).toHaveLength(1);
  });
});

describe('an animal in withdrawal', () => {
  it('waits for a weight worth recording until the call time, to the tick', () => {
    const s = begun(withPlan({ tags: TAGS }));
    restless(s, 42).wait(100);
    s.give({ t: s.t, tag: '999000000000017', known: { ...FREE, held: true } }).wait(8000);
    expect(decided(s)).toEqual(['withdrawal left']);
    expect(s.of('ready').map((e) => e.t - (animal(s)?.enteredAt ?? 0))).toEqual([5000]);
  });
});

describe('the let-go signal', () => {
  it('comes back half a second after it was taken back, to the tick', () => {
    const s = begun().weigh(36).wait(3000).say({ do: 'pause' }).say({ do: 'start' });
    s.say({ do: 'confirm' }).wait(480);
    expect(s.of('ready')).toHaveLength(1);
    expect(s.wait(20).of('ready')).toHaveLength(2);
  });
  it('is for an exit: none is given where nothing is decided and the gate stands nowhere', () => {
    const s = restless(begun(), 36).wait(100);
    s.state = { ...s.state, gate: { ...s.state.gate, at: null, moving: false } };
    expect(s.wait(20).of('ready')).toEqual([]);
  });
  it('is held back by records that fail as the animal comes on', () => {
    const s = begun().weigh(42);
    s.give({ t: s.t, link: 'records', up: false }).wait(4000);
    expect(animal(s)?.enteredAt).toBe(s.t - 4000);
    expect(animal(s)?.readyAt).toBeNull();
  });
});

it('records that fail after an animal came on let it be finished, decided or not', () => {
  const s = restless(begun(), 42).wait(100);
  s.give({ t: s.t, link: 'records', up: false }).wait(40);
  expect(settled(s, 42).wait(100).of('ready')).toHaveLength(1);
});

it('a slaughter exit named before the tag came is not sure, if it is let out', () => {
  const lots = FRONT.plan.lots.map((lot) => ({ ...lot, forSlaughter: lot.exit === 'right' }));
  const s = begun(withPlan({ lots, tags: { ...TAGS, unread: 'hold' } }))
    .weigh(42)
    .wait(100);
  const crossing = s.say({ do: 'exit', exit: 'right' }).wait(100).letGo().of('let-go').at(-1);
  expect(crossing?.crossing).toMatchObject({ rule: null, unsure: true });
});

describe('a call for a look', () => {
  it('does not come for an animal whose exit is open already', () => {
    const s = unconfirmed().say({ do: 'confirm' }).wait(4000);
    s.say({ do: 'stop' }).wait(300).say({ do: 'start' }).wait(40).weigh(42).wait(4500);
    expect([s.of('ready').length, s.state.gate.laneNeedsConfirm, calls(s)]).toEqual([1, true, []]);
  });
  it('nor for one that is not decided', () => {
    const s = unconfirmed().say({ do: 'confirm' }).wait(4000);
    s.say({ do: 'stop' }).wait(300).say({ do: 'start' }).wait(40);
    expect(calls(restless(s, 36).wait(4800))).toEqual([]);
  });
  it('nor where no look would help', () => {
    const s = begun();
    s.give({ t: s.t, link: 'records', up: false }).wait(40).weigh(36).wait(4800);
    expect([s.state.gate.waits, calls(s)]).toEqual([['records'], []]);
  });
});
