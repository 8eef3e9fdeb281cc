/** One animal from coming on to gone, told with a weight that is known at once. */
import { describe, expect, it } from 'vitest';
import type { Plan } from '../../../src/core/sortplan/plan.ts';
import type { Crossing } from '../../../src/core/trace.ts';
import { configWith, Script } from '../script.ts';

const FRONT = configWith(['frontShut']);
const begun = (config = FRONT): Script => new Script(config, true).begin();
const withPlan = (plan: Partial<Plan>) => ({ ...FRONT, plan: { ...FRONT.plan, ...plan } });
const rows = (s: Script): Crossing[] => s.of('let-go').map((e) => e.crossing);
const calls = (s: Script): string[] => s.of('call').map((e) => e.reason);
const UNCOUNTED = 'an animal went through with the front open: it is not counted';
const TAG = '999000000000017';

describe('the row of a crossing', () => {
  it('tells all of it at letting go, and when it left', () => {
    const s = begun();
    const enteredAt = s.t + 20;
    s.weigh(36).wait(3000);
    const decided = s.of('decided')[0]?.t ?? null;
    const openedAt = s.t;
    s.letGo();
    const row: Crossing = {
      animal: 1,
      session: null,
      tag: null,
      enteredAt,
      firstDecidedAt: decided,
      decidedAt: decided,
      letGoAt: openedAt,
      leftAt: null,
      lot: 'Stores',
      exit: 'left',
      decisionKg: 36,
      recordedKg: 36,
      uncertaintyKg: 0.04,
      rule: 'settled',
      reason: s.of('decided')[0]?.reason ?? null,
      revisions: 0,
      unsure: false,
      flags: [],
      marks: [],
    };
    expect(rows(s)).toEqual([row]);
    expect(s.of('let-go')[0]?.t).toBe(openedAt + 160);
    expect(s.of('left').map((e) => e.crossing)).toEqual([{ ...row, leftAt: openedAt + 320 }]);
    expect(s.state.cycle).toMatchObject({ animal: null, nextAnimal: 2, counts: { Stores: 1 } });
    expect(s.of('on')).toMatchObject([{ animal: 1, t: enteredAt }]);
  });

  it('counts head per lot', () => {
    const s = begun();
    for (const kg of [36, 43, 36]) s.weigh(kg).wait(3000).letGo().wait(1200);
    expect(s.state.cycle.counts).toEqual({ Stores: 2, Fit: 1 });
    expect(rows(s).map((row) => row.animal)).toEqual([1, 2, 3]);
  });

  it('goes by the weight as it was when the front opened', () => {
    const s = begun().weigh(36).wait(3000).set('frontShut', false).weigh(20).wait(300);
    expect(rows(s)[0]).toMatchObject({ recordedKg: 36 });
  });

  it('with a weight that looked wrong is unsure and says how', () => {
    const s = begun().weigh(36).wait(3000);
    s.look = { oddities: ['leaning'] };
    s.set('frontShut', false).wait(200);
    expect(rows(s)[0]).toMatchObject({ unsure: true, flags: ['leaning'] });
  });

  it('by hand is sure whatever the weight looks like', () => {
    const s = begun().weigh(36).wait(1000).say({ do: 'exit', exit: 'right' }).wait(3000);
    s.look = { oddities: ['leaning'] };
    s.set('frontShut', false).wait(200);
    expect(rows(s)[0]).toMatchObject({ unsure: false, flags: [], rule: 'by-hand', exit: 'right' });
  });

  it('opened before anything was decided is unsure', () => {
    const s = begun();
    s.look = { estimate: null };
    s.weigh(36).wait(100).set('frontShut', false).wait(200);
    expect(rows(s)[0]).toMatchObject({ unsure: true, lot: null, rule: null, reason: null });
    expect(rows(s)[0]).toMatchObject({ recordedKg: null, uncertaintyKg: null });
    expect(s.state.cycle.counts).toEqual({});
  });

  it('to another exit than was meant is flagged', () => {
    const s = begun().weigh(36).wait(3000).say({ do: 'pause' });
    s.say({ do: 'exit', exit: 'right' }).wait(200).set('frontShut', false).wait(200);
    const flags = ['opened-early', 'wrong-way', 'while-paused'];
    expect(rows(s)[0]).toMatchObject({ exit: 'left', flags });
  });
});

describe('opened early', () => {
  it('with nothing moving: logged to where the gate stood, flagged, no fault, and on', () => {
    const s = begun(withPlan({ decide: { ...FRONT.plan.decide, callAfterMs: 60_000 } }));
    s.look = { estimate: null };
    s.weigh(36).wait(200).letGo();
    expect(rows(s)[0]).toMatchObject({ exit: 'ahead', flags: ['opened-early'] });
    expect([s.faults(), s.mode()]).toEqual([[], 'running']);
  });

  it('in the warning nothing has moved: the stroke is only cancelled', () => {
    const config = { ...FRONT, gate: { ...FRONT.gate, warnMs: { first: 300, later: 300 } } };
    const s = begun(config).weigh(36).wait(100);
    expect(s.state.gate.warning).toBe(true);
    s.set('frontShut', false).wait(200);
    expect(rows(s)[0]).toMatchObject({ exit: 'ahead', flags: ['opened-early', 'wrong-way'] });
    expect([s.faults(), s.of('stroke').filter((e) => e.phase === 'cut')]).toEqual([[], []]);
  });
});

describe('a knock of the front', () => {
  it('shorter than 150 ms lets nobody go', () => {
    const s = begun().weigh(36).wait(3000).set('frontShut', false).wait(140);
    s.set('frontShut', true).wait(3000);
    expect(rows(s)).toEqual([]);
    expect(s.of('backed-out')).toEqual([]);
    s.letGo();
    expect(rows(s)).toHaveLength(1);
  });
  it('from 150 ms on the animal is let go', () => {
    const s = begun().weigh(36).wait(3000).set('frontShut', false).wait(140);
    expect(rows(s)).toEqual([]);
    expect(rows(s.wait(20))).toHaveLength(1);
  });
});

describe('gone with the front shut', () => {
  it('is backed out: not counted, and its tag is kept for its return', () => {
    const s = begun().weigh(36).wait(60);
    s.give({ t: s.t, tag: TAG }).weigh(0).wait(100);
    expect(s.of('backed-out')).toMatchObject([{ animal: 1 }]);
    expect(s.state.cycle.pendingTag).toEqual({ tag: TAG, known: null, kept: true });
    s.weigh(36).wait(3000).letGo();
    expect(rows(s)).toMatchObject([{ animal: 2, tag: TAG }]);
    expect(s.state.cycle.pendingTag).toBeNull();
  });

  it('one without a tag keeps none', () => {
    const s = begun().weigh(36).wait(60).weigh(0).wait(100);
    expect(s.state.cycle.pendingTag).toBeNull();
  });

  it('a tag that was read of the next one meanwhile stays the next one’s', () => {
    const s = begun();
    s.give({ t: s.t, tag: TAG }).weigh(36).wait(60);
    s.state = {
      ...s.state,
      cycle: { ...s.state.cycle, pendingTag: { tag: '999000000000025', known: null, kept: false } },
    };
    s.weigh(0).wait(100);
    expect(s.state.cycle.pendingTag?.tag).toBe('999000000000025');
  });

  it('turned back while the leaves move: they finish, and the next one is decided anew', () => {
    const s = begun().weigh(36).wait(200);
    expect(s.moving()).toEqual(['leafA.extend']);
    s.weigh(0).wait(1500);
    expect([s.of('backed-out').length, s.faults(), s.state.gate.at]).toEqual([1, [], 'left']);
    s.weigh(43).wait(3000).letGo();
    expect(rows(s)).toMatchObject([{ animal: 2, lot: 'Fit', exit: 'ahead' }]);
  });

  it('jumped out over a side with front and back shut: nothing more moves before a look', () => {
    const s = begun(configWith(['frontShut', 'backShut']))
      .weigh(36)
      .wait(3000);
    s.weigh(0).wait(100);
    expect(s.of('backed-out')).toHaveLength(1);
    expect(s.state.gate.laneNeedsConfirm).toBe(true);
    s.weigh(43).wait(3000);
    expect([s.moving(), s.state.gate.at]).toEqual([[], 'left']);
    s.say({ do: 'confirm' }).wait(2000);
    expect(s.state.gate.at).toBe('ahead');
  });

  it('jumped out while a leaf moves: off at once, a fault', () => {
    const s = begun(configWith(['frontShut', 'backShut']))
      .weigh(36)
      .wait(200)
      .weigh(0);
    s.give({ t: s.t, tick: true });
    expect(s.moving()).toEqual([]);
    expect(s.wait(20).faults()).toEqual(['lane-entered']);
  });
});

describe('through pause, stop and restart', () => {
  it('it stays the same animal with what is known of it', () => {
    const s = begun().weigh(36).wait(1500);
    s.give({ t: s.t, tag: TAG }).say({ do: 'pause' }).wait(500);
    s.say({ do: 'start' }).say({ do: 'confirm' }).wait(500).say({ do: 'stop' }).wait(3000);
    expect(s.of('ready').length).toBe(2);
    s.say({ do: 'start' }).say({ do: 'confirm' }).wait(3000).letGo();
    expect(rows(s)).toMatchObject([{ animal: 1, tag: TAG, flags: [] }]);
  });

  it('let out while stopped it is a row all the same', () => {
    const s = begun().weigh(36).wait(3000).say({ do: 'stop' }).wait(100).letGo();
    expect(rows(s)[0]?.flags).toEqual(['opened-early', 'while-stopped']);
    expect(s.of('left')).toHaveLength(1);
  });

  it('one that came on while stopped begins at the start, flagged', () => {
    const s = begun().say({ do: 'stop' }).wait(100).weigh(36).wait(1000);
    expect(s.of('on')).toEqual([]);
    s.say({ do: 'start' }).say({ do: 'confirm' }).wait(3000).letGo();
    expect(rows(s)[0]?.flags).toEqual(['on-at-start']);
  });

  it('one that came on while fitting too', () => {
    const s = new Script(FRONT, true).set('frontShut', true).wait(1000).weigh(0);
    s.say({ do: 'hold', output: 'leafA.retract' }).weigh(36).wait(1000);
    expect([s.mode(), s.of('on')]).toEqual(['fitting', []]);
  });

  it('one that came on while paused is met and waits', () => {
    const s = begun().say({ do: 'pause' }).weigh(36).wait(3000);
    expect([s.of('on').length, s.of('ready')]).toEqual([1, []]);
    expect(s.of('decided')).toHaveLength(1);
    expect(s.motion().filter((c) => c.on && c.t > 4900)).toEqual([]);
  });

  it('a session that changes gives it the first number of the new one', () => {
    const s = begun().weigh(36).wait(1000).say({ do: 'stop' });
    s.say({ do: 'start', session: 'b' });
    expect(s.state.cycle).toMatchObject({ session: 'b', nextAnimal: 2, animal: { number: 1 } });
    s.say({ do: 'stop' }).say({ do: 'start', session: 'b', nextAnimal: 1, counts: { Fit: 3 } });
    expect(s.state.cycle).toMatchObject({ nextAnimal: 2, counts: { Fit: 3 } });
  });
});

describe('the follower', () => {
  /** Nose to tail: the next one is on before the front is shut again. */
  const follow = (s: Script, kg: number): Script => {
    s.set('frontShut', false).wait(400).weigh(kg).wait(200);
    return s.set('frontShut', true).wait(3000);
  };

  it('is another animal once the front is proved shut, flagged, the one before too', () => {
    const s = follow(begun().weigh(36).wait(3000), 50);
    expect(s.of('left')[0]?.crossing.flags).toEqual(['weight-stayed']);
    expect(s.of('left')[0]?.crossing.leftAt).toBe(s.of('left')[0]?.t);
    s.letGo();
    expect(rows(s)).toMatchObject([
      { animal: 1, lot: 'Stores', flags: [] },
      { animal: 2, lot: 'Heavy', exit: 'right', flags: ['follower'] },
    ]);
  });

  it('one that came after an empty crate is none', () => {
    const s = begun().weigh(36).wait(3000).letGo().weigh(50).wait(3000).letGo();
    expect(rows(s)[1]?.flags).toEqual([]);
  });

  it('twenty nose to tail are twenty rows, each with the weight that was on', () => {
    const s = begun().weigh(36).wait(3000);
    for (let n = 1; n <= 20; n += 1) follow(s, n % 2 === 0 ? 36 : 50);
    expect(rows(s).map((row) => row.animal)).toEqual([...Array(20).keys()].map((n) => n + 1));
    expect(rows(s).map((row) => row.recordedKg)).toEqual(
      [...Array(20).keys()].map((n) => (n % 2 === 0 ? 36 : 50)),
    );
    expect(rows(s).map((row) => row.exit)).toEqual(
      [...Array(20).keys()].map((n) => (n % 2 === 0 ? 'left' : 'right')),
    );
    expect(s.faults()).toEqual([]);
  });

  it('whose weight goes again before it was let go is forgotten as a follower', () => {
    const s = follow(begun().weigh(36).wait(3000), 50).weigh(0).wait(100);
    expect(s.state.cycle.follows).toBe(false);
  });

  it('a second one through the open front is called out: it is not counted', () => {
    const s = begun().weigh(36).wait(3000).set('frontShut', false).wait(300).weigh(0).wait(300);
    s.weigh(40).wait(300).weigh(0).wait(300);
    expect(calls(s)).toEqual([UNCOUNTED]);
    expect([s.of('on').length, rows(s).length]).toEqual([1, 1]);
  });

  it('so is one through a front that was opened over an empty crate', () => {
    const s = begun().set('frontShut', false).wait(300).weigh(40).wait(300).weigh(0).wait(300);
    expect([calls(s), s.of('on')]).toEqual([[UNCOUNTED], []]);
    const stopped = new Script(FRONT, true).wait(300).weigh(40).wait(300).weigh(0).wait(300);
    expect(calls(stopped)).toEqual([]);
  });
});

describe('two animals on', () => {
  it('are not sure, held and called after the call time, and never guessed', () => {
    const s = begun();
    s.look = { oddities: ['two-animals'] };
    s.weigh(80).wait(5100);
    expect(s.of('decided')).toEqual([]);
    expect(calls(s)).toEqual(['not sure: two animals are on: hold']);
    expect([s.of('ready'), s.motion().filter((c) => c.t > 5000)]).toEqual([[], []]);
  });
});

describe('with no front contact', () => {
  const BEAM = configWith(['laneClear']);

  it('the weight that goes is the crossing, with the last good weight', () => {
    const s = begun(BEAM).weigh(36).wait(3000);
    s.set('laneClear', false).weigh(0).wait(100);
    expect(s.of('backed-out')).toEqual([]);
    expect(rows(s)[0]).toMatchObject({ letGoAt: null, recordedKg: 36, uncertaintyKg: 0.04 });
    expect(rows(s)[0]).toMatchObject({ exit: 'left', flags: [] });
    expect(s.of('left')[0]?.crossing.leftAt).toBe(s.of('left')[0]?.t);
  });

  it('with no weight either the beam tells that it has gone', () => {
    const s = begun(BEAM).weigh(null).say({ do: 'exit', exit: 'left' }).wait(3000);
    expect(s.of('ready')).toHaveLength(1);
    s.set('laneClear', false).wait(40);
    expect(rows(s)).toMatchObject([{ rule: 'by-hand', exit: 'left', enteredAt: null }]);
    expect(s.of('left')).toHaveLength(1);
  });

  it('a beam broken while a weight is on tells nothing of this one', () => {
    const s = begun(BEAM).weigh(36).wait(3000).set('laneClear', false).wait(40);
    expect(rows(s)).toEqual([]);
  });
});

describe('unread tags', () => {
  const TAGS = { lists: [], withdrawal: { lot: 'Stores' }, unread: { lot: 'Stores' } };
  const offer = 'three tags in a row were not read: carry on without tags?';

  it('three in a row offer once to carry on without', () => {
    const s = begun(withPlan({ tags: TAGS, decide: { ...FRONT.plan.decide, callAfterMs: 100 } }));
    const one = (): Script => s.weigh(36).wait(3000).letGo().wait(1200);
    one();
    one();
    expect(calls(s)).toEqual([]);
    one();
    expect([calls(s), s.state.cycle.offerAt === null]).toEqual([[offer], false]);
    one();
    expect(calls(s)).toEqual([offer]);
    s.say({ do: 'answer', answer: 'carry-on-without-tags' });
    expect(s.state.cycle).toMatchObject({ tagsOff: true, offerAt: null });
    expect(s.say({ do: 'answer', answer: 'with-tags' }).state.cycle.tagsOff).toBe(false);
  });
});
