/** What is said once aloud, marks by wired buttons, and carrying on without tags. */
import { describe, expect, test } from 'vitest';
import type { Plan } from '../../../src/core/sortplan/plan.ts';
import type { Config } from '../../../src/core/step.ts';
import type { Event } from '../../../src/core/trace.ts';
import { comesOn, goes, isReady, started, type Race } from './race.ts';

const STORES = { name: 'Stores', exit: 'left', belowKg: 40 };
const FIT = { name: 'Fit', exit: 'ahead', belowKg: 45, forSlaughter: true };
const HEAVY = { name: 'Heavy', exit: 'right', forSlaughter: true };
const TAGS = { lists: [], withdrawal: { lot: 'Stores' }, unread: { lot: 'Stores' } };
const WIRED = ['frontShut', 'stopLoop', 'markButton.a', 'markButton.b', 'markButton.c'];
const BUTTONS: Config['markButtons'] = {
  a: { name: 'lame', value: true },
  b: { name: 'condition', value: 3.5 },
  c: { name: 'condition', value: 4 },
};

function withPlan(plan: Partial<Plan>, more: Partial<Config> = {}) {
  return (config: Config): Config => ({ ...config, ...more, plan: { ...config.plan, ...plan } });
}

function calls(race: Race): string[] {
  return race.events.flatMap((e: Event) => (e.kind === 'call' ? [e.reason] : []));
}

/** What the sounder does in the next `ms`, a character for each 100 ms. */
function heard(race: Race, ms: number): string {
  let said = '';
  for (let at = 0; at < ms; at += 100) {
    race.for(100);
    said += race.outputs['sounder'] === true ? '1' : '.';
  }
  return said;
}

function press(race: Race, name: string): Race {
  return race.input(name, true).for(200).input(name, false).for(400);
}

describe('a lot that fills up', () => {
  const filling = { lots: [STORES, { ...FIT, capacity: 7, whenFull: 'stop' as const }, HEAVY] };

  test('is called five places before it is full, with a sound of its own, and when it is full', () => {
    const race = started(withPlan(filling));
    goes(comesOn(race, 42.6).until('ready', isReady));
    expect(calls(race)).toEqual([]);
    comesOn(race, 42.6).until('ready', isReady).input('frontShut', false).for(240);
    expect(calls(race)).toEqual(['five places left in Fit']);
    expect(race.state.cycle.saying).toMatchObject({ what: 'filling' });
    expect(heard(race, 1800)).toMatch(/^1?\.\.11\.\.1{8}\.*$/);
    race.kg = 0;
    race.for(600).input('frontShut', true).for(1500);
    for (let n = 0; n < 5; n += 1) goes(comesOn(race, 42.6).until('ready', isReady));
    expect(calls(race)).toEqual(['five places left in Fit', 'Fit is full']);
  });

  test('full, and to stop: the animal is held and asked about, until a hand names its exit', () => {
    const race = started(withPlan({ lots: [STORES, { ...FIT, capacity: 1 }, HEAVY] }));
    goes(comesOn(race, 42.6).until('ready', isReady));
    comesOn(race, 42.8).until('held', (r) => r.state.cycle.animal?.decision?.exit === null);
    race.for(3000);
    expect(isReady(race)).toBe(false);
    expect(calls(race).at(-1)).toMatch(/Fit is full: hold and ask$/);
    race.command({ do: 'exit', exit: 'left' }).until('ready', isReady);
    expect(goes(race).rows().at(-1)).toMatchObject({
      lot: 'Stores',
      exit: 'left',
      rule: 'by-hand',
    });
  });
});

describe('a slaughter exit named for a held animal', () => {
  const held = { held: true, freeOn: '2026-09-20' };

  test.each(['page', 'wired button'])(
    'by %s: refused with the free day and its own sound',
    (by) => {
      const inputs = ['frontShut', 'stopLoop', 'exitButton.right'];
      const race = comesOn(started(withPlan({ tags: TAGS }), inputs), 48.1).tag(
        '999000000000001',
        held,
      );
      race.until('sent to Stores', isReady).for(2000);
      if (by === 'page') race.command({ do: 'exit', exit: 'right', animal: 1 });
      else race.input('exitButton.right', true).for(60);
      expect(race.refusals().at(-1)).toContain('free on 2026-09-20');
      expect(heard(race, 2000)).toMatch(/^1{6,8}\.\.11\.\.11\.*$/);
      expect(race.state.cycle.animal?.byHand).toBeNull();
    },
  );

  test('an exit that is not for slaughter is taken without a sound', () => {
    const race = comesOn(started(withPlan({ tags: TAGS })), 48.1).tag('999000000000001', held);
    race.until('sent to Stores', isReady).for(2000).command({ do: 'exit', exit: 'left' });
    expect(race.refusals()).toEqual([]);
    expect(race.state.cycle.saying).toBeNull();
  });
});

describe('wired buttons for marks', () => {
  const marked = (race: Race) => race.state.cycle.animal?.marks;
  const fitted = () => started(withPlan({}, { markButtons: BUTTONS }), WIRED);

  test('give their mark with one tick, replace one of the same name, and take it away again', () => {
    const race = comesOn(fitted(), 42.6).until('ready', isReady).for(3000);
    race.input('markButton.a', true).for(60);
    expect(heard(race, 500)).toBe('.....');
    race.input('markButton.a', false).for(100);
    expect(marked(race)).toEqual([{ name: 'lame', value: true }]);
    press(press(race, 'markButton.b'), 'markButton.c');
    expect(marked(race)).toEqual([BUTTONS['a'], { name: 'condition', value: 4 }]);
    press(press(race, 'markButton.a'), 'markButton.c');
    expect(marked(race)).toEqual([]);
    press(race, 'markButton.b');
    expect(goes(race).rows()[0]?.marks).toEqual([{ name: 'condition', value: 3.5 }]);
  });

  test('say nothing with nobody on, and never mark an animal that was let go', () => {
    const race = press(fitted(), 'markButton.a');
    expect(race.refusals()).toEqual([]);
    comesOn(race, 42.6).until('ready', isReady).input('frontShut', false).for(200);
    press(race, 'markButton.a');
    expect(race.rows()[0]?.marks).toEqual([]);
  });

  test('decide with the weight where a rule says so', () => {
    const rule = { when: [{ mark: 'condition', from: 3 }], fromKg: 38, belowKg: 40, lot: 'Fit' };
    const plan = { marks: { offer: ['condition'], rules: [rule] } };
    const race = comesOn(started(withPlan(plan, { markButtons: BUTTONS }), WIRED), 39.2);
    press(race, 'markButton.b').until('ready', isReady);
    expect(goes(race).rows()[0]).toMatchObject({ lot: 'Fit', exit: 'ahead' });
  });
});

describe('without tags', () => {
  const threeUnread = () => {
    const inputs = ['frontShut', 'stopLoop', 'answerButton'];
    const race = started(withPlan({ tags: TAGS }), inputs);
    for (let n = 0; n < 3; n += 1) goes(comesOn(race, 42.6).until('ready', isReady));
    return race;
  };

  test('three unread in a row offer it once a session, with a call', () => {
    const race = threeUnread();
    expect(calls(race).at(-1)).toContain('carry on without tags?');
    expect(race.state.cycle.offerAt).not.toBeNull();
    race.command({ do: 'answer', answer: 'with-tags' });
    for (let n = 0; n < 3; n += 1) goes(comesOn(race, 42.6).until('ready', isReady));
    expect(race.state.cycle.offerAt).toBeNull();
    expect(calls(race)).toHaveLength(1);
  });

  test('taken from the page nothing waits for a tag any more', () => {
    const race = threeUnread().command({ do: 'answer', answer: 'carry-on-without-tags' });
    goes(comesOn(race, 42.6).until('ready', isReady));
    expect(race.rows().at(-1)).toMatchObject({ lot: 'Fit', flags: [] });
    race.command({ do: 'answer', answer: 'with-tags' });
    goes(comesOn(race, 42.6).until('ready', isReady));
    expect(race.rows().at(-1)?.flags).toContain('unread');
  });

  test('by wired buttons: the first press silences the call, the second carries on', () => {
    const race = press(threeUnread(), 'answerButton');
    expect([race.state.cycle.offerAt === null, race.state.cycle.tagsOff]).toEqual([false, false]);
    expect(heard(race, 3000)).not.toContain('1');
    press(race, 'answerButton');
    expect([race.state.cycle.offerAt, race.state.cycle.tagsOff]).toEqual([null, true]);
  });

  test('a tag that is read ends the offer', () => {
    const race = threeUnread().tag('999000000000001');
    expect(race.state.cycle.offerAt).toBeNull();
  });

  test('a site with no reader waits for no tag and offers nothing', () => {
    const race = started(withPlan({ tags: TAGS }, { noReader: true }));
    for (let n = 0; n < 3; n += 1) goes(comesOn(race, 42.6).until('ready', isReady));
    expect(race.rows().map(({ lot }) => lot)).toEqual(['Fit', 'Fit', 'Fit']);
    expect(calls(race)).toEqual([]);
  });
});
