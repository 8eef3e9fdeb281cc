/** What is easily got wrong by one sign or one word: found by putting such faults into the cycle. */
import { describe, expect, it } from 'vitest';
import type { Config } from '../../../src/core/step.ts';
import { configWith, Script } from '../script.ts';

const FRONT = configWith(['frontShut']);
const WIRED = configWith(['frontShut', 'startButton', 'answerButton']);
const begun = (config = FRONT): Script => new Script(config, true).begin();

describe('a session', () => {
  it('another is refused while sorting, and taken in a fault', () => {
    const s = begun().say({ do: 'session', session: 7 });
    const refused = { command: 'session', reason: 'Stop first, then begin another session.' };
    expect(s.of('refused').at(-1)).toMatchObject(refused);
    expect(s.state.cycle.session).toBeNull();
    s.give({ t: s.t, link: 'relays', up: false }).wait(40);
    expect(s.mode()).toBe('fault');
    expect(s.say({ do: 'session', session: 7 }).state.cycle.session).toBe(7);
  });
  it('the same again keeps its counts; another begins at 1 and gives whoever is on that number', () => {
    const s = begun().weigh(36).wait(3000).letGo().say({ do: 'stop' });
    s.say({ do: 'session', session: 1, counts: { Stores: 4 } });
    expect(s.say({ do: 'session', session: 1 }).state.cycle.counts).toEqual({ Stores: 4 });
    s.say({ do: 'start' })
      .say({ do: 'confirm' })
      .wait(1000)
      .weigh(36)
      .wait(1000)
      .say({ do: 'stop' });
    s.say({ do: 'answer', answer: 'carry-on-without-tags' }).say({ do: 'session', session: 2 });
    expect(s.of('on').at(-1)).toMatchObject({ animal: 1 });
    expect(s.state.cycle).toMatchObject({ counts: {}, tagsOff: false, nextAnimal: 2 });
  });
});

it('a start button is stuck when it has been on for ten seconds, not a tick sooner', () => {
  const s = begun(WIRED).set('startButton', true).wait(10_020);
  expect(s.faults()).not.toContain('start-button-stuck');
  expect(s.wait(20).faults()).toContain('start-button-stuck');
});

describe('an animal by hand, with no weight', () => {
  const silent = (inputs: string[]): Script => {
    const s = new Script(configWith(inputs), true).weigh(null).begin().say({ do: 'confirm' });
    return s.wait(1000).say({ do: 'exit', exit: 'left' }).wait(500);
  };
  const beam = (s: Script, name: string): Script => s.set(name, false).wait(200);
  it('has gone when a beam breaks where no contact sees the front', () => {
    const s = silent(['laneClear.left', 'laneClear.right']);
    expect(s.state.cycle.animal).not.toBeNull();
    expect(beam(s, 'laneClear.left').state.cycle.animal).toBeNull();
  });
  it('has not, where the front is seen shut', () => {
    const s = silent(['frontShut', 'laneClear']);
    expect(beam(s, 'laneClear').state.cycle.animal).not.toBeNull();
  });
  it.each(['pause', 'stop'] as const)('named after a %s', (what) => {
    const s = new Script(FRONT, true).weigh(null).begin().say({ do: what });
    s.say({ do: 'exit', exit: 'left' });
    expect(s.state.cycle.animal === null).toBe(what === 'stop');
  });
});

describe('records that cannot be saved', () => {
  const lost = (s: Script): Script => s.give({ t: s.t, link: 'records', up: false }).wait(40);
  it('hold the animal that comes after, and let the one go that was on', () => {
    expect(lost(begun()).weigh(42).wait(4000).of('ready')).toHaveLength(0);
    expect(lost(begun().weigh(42).wait(40)).wait(4000).of('ready')).toHaveLength(1);
  });
  it('hold one that was put on by hand and was never weighed', () => {
    const s = new Script(FRONT, true).weigh(null).begin().say({ do: 'exit', exit: 'ahead' });
    expect(lost(s).wait(3000).state.cycle.animal?.readyAt ?? null).toBeNull();
  });
});

describe('the answer button', () => {
  it('hears an offer with its first press and takes it with its second', () => {
    const s = begun(WIRED);
    s.state = { ...s.state, cycle: { ...s.state.cycle, offerAt: s.t } };
    const press = (): Script =>
      s.wait(200).set('answerButton', true).wait(200).set('answerButton', false).wait(200);
    expect(press().state.cycle).toMatchObject({ tagsOff: false });
    expect(s.state.cycle.offerAt).not.toBeNull();
    expect(press().state.cycle).toMatchObject({ tagsOff: true, offerAt: null });
  });
  it('a press that silences another call takes no offer, the next one with none does', () => {
    const { plan } = FRONT;
    const tags = { lists: [], withdrawal: { lot: 'Stores' }, unread: 'hold' as const };
    const s = begun({ ...WIRED, plan: { ...plan, tags } });
    const press = (): Script =>
      s.set('answerButton', true).wait(200).set('answerButton', false).wait(200);
    const byHand = (): Script => s.say({ do: 'exit', exit: 'left' }).wait(3000).letGo().wait(1500);
    for (let n = 0; n < 3; n += 1) {
      s.weigh(50).wait(6000);
      byHand();
    }
    expect(s.state.cycle.offerAt).not.toBeNull();
    expect(press().state.cycle.tagsOff).toBe(false);
    s.weigh(50).wait(6000);
    expect(s.state.cycle.animal?.calledAt).not.toBeNull();
    expect(press().state.cycle.tagsOff).toBe(false);
    s.wait(60_000);
    expect(s.faults()).toContain('held-long');
    expect(press().state.cycle.tagsOff).toBe(false);
    byHand();
    s.weigh(50).wait(6000);
    expect(s.state.cycle.animal?.decision).toMatchObject({ exit: null });
    press();
    expect(s.state.cycle).toMatchObject({ tagsOff: false });
    expect(press().state.cycle).toMatchObject({ tagsOff: true, offerAt: null });
  });
  it('with no offer a second press takes nothing', () => {
    const s = begun(WIRED);
    for (let n = 0; n < 2; n += 1)
      s.set('answerButton', true).wait(300).set('answerButton', false).wait(300);
    expect(s.state.cycle.tagsOff).toBe(false);
  });
});

it('in the fitting mode the keep-alive goes on with no finger on a button, until a stop', () => {
  const s = new Script(FRONT, true).set('frontShut', true).wait(600);
  expect(s.outputs['keepAlive']).toBe(false);
  s.say({ do: 'hold', output: 'leafA.retract' }).wait(20);
  expect([s.mode(), s.outputs['keepAlive']]).toEqual(['fitting', true]);
  expect(s.wait(120_000).outputs['keepAlive']).toBe(true);
  s.say({ do: 'stop' }).wait(20);
  expect([s.mode(), s.outputs['keepAlive']]).toEqual(['stopped', false]);
});

it('a computer that stood still for 0.4 s is called so, not a board that is off', () => {
  const s = begun().weigh(42).wait(1000);
  s.t += 400;
  s.give({ t: s.t, late: 400 }).wait(100);
  expect([s.mode(), s.faults()]).toEqual(['fault', ['tick-late']]);
  expect(s.of('mode').at(-1)).toMatchObject({ mode: 'fault', why: 'tick-late' });
});

describe('one that stands on the crate for a minute', () => {
  const there = (s: Script): string[] => s.state.faults.active.map(({ fault }) => fault);
  it('is called for in a fault, and stopped after it was cleared', () => {
    const s = begun().weigh(42).wait(1000);
    s.give({ t: s.t, link: 'relays', up: false }).wait(40);
    s.give({ t: s.t, link: 'relays', up: true }).wait(65_000);
    expect([s.mode(), there(s)]).toEqual(['fault', ['relays-lost', 'held-long']]);
    s.say({ do: 'clear' }).wait(40);
    expect([s.mode(), there(s)]).toEqual(['stopped', ['held-long']]);
    const sounded = Array.from({ length: 250 }, () => s.wait(20).outputs['sounder']);
    expect(sounded).toContain(true);
    expect(s.say({ do: 'answer' }).wait(5000).outputs['sounder']).toBe(false);
    expect(there(s.weigh(0).wait(2000))).toEqual([]);
  });
  it('is called for a minute after a stop too, and not while leaves are held by hand', () => {
    const s = begun().weigh(42).wait(1000).say({ do: 'stop' }).wait(58_000);
    expect(there(s)).toEqual([]);
    expect(there(s.wait(2000))).toEqual(['held-long']);
    s.say({ do: 'hold', output: 'leafA.retract' }).wait(20);
    expect([s.mode(), there(s)]).toEqual(['fitting', []]);
  });
});

describe('an animal that was let go and has gone with the front never seen open', () => {
  it('is a fault until somebody has looked, and the look is asked for once', () => {
    const s = begun().weigh(42).wait(3000);
    expect(s.of('ready')).toHaveLength(1);
    s.weigh(0).wait(100);
    expect(s.faults()).toContain('front-unseen');
    expect(s.wait(500).of('fault').at(-1)).toMatchObject({ fault: 'front-unseen', on: true });
    expect(s.state.gate.laneNeedsConfirm).toBe(true);
    s.say({ do: 'confirm' }).wait(100);
    expect(s.of('fault').at(-1)).toMatchObject({ fault: 'front-unseen', on: false });
    expect(s.say({ do: 'confirm' }).wait(100).faults()).toEqual(['front-unseen']);
  });
});

describe('a lot with room for so many', () => {
  const { plan } = FRONT;
  const lots = plan.lots.map((lot) =>
    lot.name === 'Fit' ? { ...lot, capacity: 6, whenFull: 'stop' as const } : lot,
  );
  const after = (kg: number, fit: number): string[] => {
    const s = begun({ ...FRONT, plan: { ...plan, lots } });
    s.say({ do: 'session', counts: { Fit: fit } })
      .weigh(kg)
      .wait(3000)
      .letGo();
    return s.of('call').map((e) => e.reason);
  };
  it('is told of five places before it is full, and then, and of no other', () => {
    expect(after(42, 0)).toEqual(['five places left in Fit']);
    expect(after(42, 1)).toEqual([]);
    expect(after(42, 5)).toEqual(['Fit is full']);
    expect(after(36, 0)).toEqual([]);
  });
});

describe('a plan that waits for tags', () => {
  const { plan } = FRONT;
  const tags = { lists: [], withdrawal: { lot: 'Stores' }, unread: 'hold' as const };
  const tagged = { ...FRONT, plan: { ...plan, tags } };
  const rules = (s: Script): string[] => s.of('decided').map((e) => e.rule);
  it('waits, but not where there is no reader or nobody reads on', () => {
    expect(rules(begun(tagged).weigh(36).wait(1000))).toEqual([]);
    expect(
      rules(
        begun({ ...tagged, noReader: true })
          .weigh(36)
          .wait(1000),
      ),
    ).toEqual(['settled']);
    const carried = begun(tagged).say({ do: 'answer', answer: 'carry-on-without-tags' });
    expect(rules(carried.weigh(36).wait(1000))).toEqual(['settled']);
    const again = begun(tagged).say({ do: 'answer', answer: 'with-tags' });
    expect(rules(again.weigh(36).wait(1000))).toEqual([]);
  });
  it('counts from the first weight, and offers after three unread where there is a reader', () => {
    const three = (config: Config): number => {
      const s = begun(config);
      for (let n = 0; n < 3; n += 1) s.weigh(36).wait(6000).letGo().wait(1500);
      return s.of('call').filter((e) => e.reason.startsWith('three tags')).length;
    };
    expect(three(tagged)).toBe(1);
    expect(three({ ...tagged, noReader: true })).toBe(0);
  });
});

describe('an odd weight', () => {
  const { plan } = FRONT;
  const odd = (work: 'weigh-and-sort' | 'sort-only' | 'count-only'): number => {
    const lots = [
      { name: 'Rest', exit: 'ahead', splitWith: ['Keep'] },
      { name: 'Keep', exit: 'left', aside: true as const },
    ];
    const s = begun({ ...FRONT, plan: work === 'weigh-and-sort' ? plan : { ...plan, work, lots } });
    s.look = { oddities: ['leaning'] };
    return s.weigh(36).wait(4000).of('ready').length;
  };
  it('is nothing to those who are not weighed', () => {
    expect([odd('weigh-and-sort'), odd('sort-only'), odd('count-only')]).toEqual([0, 1, 1]);
  });
});

describe('a decision that changes', () => {
  it('takes the signal back at once, where it is another exit', () => {
    const s = begun().weigh(36).wait(4000);
    expect(s.state.cycle.animal?.readyAt).not.toBeNull();
    s.weigh(42).wait(20);
    expect(s.state.cycle.animal).toMatchObject({ readyAt: null, decision: { exit: 'ahead' } });
    expect(s.state.cycle.animal?.takenBackAt).toBe(s.t);
  });
  it('leaves it where the other lot goes the same way', () => {
    const { plan } = FRONT;
    const lots = plan.lots.map((lot) => (lot.name === 'Heavy' ? { ...lot, exit: 'ahead' } : lot));
    const s = begun({ ...FRONT, plan: { ...plan, lots } })
      .weigh(42)
      .wait(3000);
    const { readyAt } = s.state.cycle.animal ?? {};
    s.weigh(50).wait(200);
    expect(s.state.cycle.animal).toMatchObject({ readyAt, decision: { lot: 'Heavy' } });
  });
});

describe('the row', () => {
  const row = (hand: boolean) => {
    const s = begun({ ...FRONT, plan: { ...FRONT.plan, unsure: { exit: 'ahead' } } });
    s.look = { oddities: ['leaning'] };
    if (hand) s.weigh(36).wait(100).say({ do: 'exit', exit: 'ahead' });
    return s.weigh(36).wait(7000).letGo().of('let-go').at(-1)?.crossing;
  };
  it('of one that a person sent is sure whatever the weight was', () => {
    expect(row(true)).toMatchObject({ unsure: false, rule: 'by-hand', exit: 'ahead' });
    expect(row(false)).toMatchObject({ unsure: true, rule: 'unsure', exit: 'ahead' });
  });
});
