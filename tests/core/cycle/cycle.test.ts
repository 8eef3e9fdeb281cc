import { describe, expect, test } from 'vitest';
import type { Config } from '../../../src/core/step.ts';
import type { Plan } from '../../../src/core/sortplan/plan.ts';
import { comesOn, goes, isReady, started, type Race } from './race.ts';

const withPlan =
  (change: Partial<Plan>) =>
  (config: Config): Config => ({
    ...config,
    plan: { ...config.plan, ...change },
  });
const TAGS = {
  tags: {
    lists: [{ file: 'keep-back.csv', lot: 'Stores' }],
    withdrawal: { lot: 'Stores' },
    unread: 'hold' as const,
  },
};
const decided = (race: Race) => race.state.cycle.animal?.decision ?? null;

describe('one animal', () => {
  test.each([
    [36.4, 'Stores', 'left'],
    [42.6, 'Fit', 'ahead'],
    [48.1, 'Heavy', 'right'],
  ])('%d kg goes to %s, %s, and is counted once', (kg, lot, exit) => {
    const race = goes(comesOn(started(), kg).until('ready', isReady));
    expect(race.rows()).toHaveLength(1);
    expect(race.rows()[0]).toMatchObject({ lot, exit, unsure: false, flags: [], revisions: 0 });
    expect(race.rows()[0]?.recordedKg).toBeCloseTo(kg, 1);
    expect(race.state.cycle.counts).toEqual({ [lot]: 1 });
    expect(race.state.cycle.animal).toBeNull();
  });

  test('twenty nose to tail: the next one comes on before the crate is empty, each counted once', () => {
    const race = comesOn(started(), 36.4);
    for (let n = 1; n <= 20; n += 1) {
      race.until(`number ${n} is ready`, isReady);
      race.input('frontShut', false).for(300);
      race.kg = n % 2 === 0 ? 36.4 : 48.1;
      race.for(500).input('frontShut', true).for(200);
    }
    expect(race.rows().map((row) => row.animal)).toEqual([...Array(20).keys()].map((n) => n + 1));
    const lots = race.rows().map((row) => row.lot);
    expect(lots).toEqual([...Array(20).keys()].map((n) => (n % 2 === 0 ? 'Stores' : 'Heavy')));
    expect(
      race
        .rows()
        .slice(1)
        .every((row) => row.flags.includes('follower')),
    ).toBe(true);
  });

  test('backed out: not counted, and its tag is kept for its return', () => {
    const race = comesOn(started(withPlan(TAGS)), 36.4)
      .tag('999000000001337')
      .for(500);
    race.kg = 0;
    race.for(1500);
    expect(race.events.filter((e) => e.kind === 'backed-out')).toHaveLength(1);
    expect(race.rows()).toEqual([]);
    goes(comesOn(race, 36.4).until('ready', isReady));
    expect(race.rows()[0]).toMatchObject({ tag: '999000000001337', lot: 'Stores' });
  });

  test('a front that is knocked for a moment lets nobody go', () => {
    const race = comesOn(started(), 42.6).until('ready', isReady);
    race.input('frontShut', false).for(60).input('frontShut', true).for(2500);
    expect(race.rows()).toEqual([]);
    goes(race.until('ready again', isReady));
    expect(race.rows()).toHaveLength(1);
  });

  test('opened before the signal with nothing moving: logged to where the gate stood, no fault', () => {
    const race = comesOn(started(), 42.6);
    goes(race);
    expect(race.rows()[0]).toMatchObject({ exit: 'ahead' });
    expect(race.rows()[0]?.flags).toContain('opened-early');
    expect(race.state.cycle.mode).toBe('running');
  });

  test('opened while a leaf moves: off in the same step, exit unknown, nothing before a fresh start', () => {
    const race = comesOn(started(), 36.4);
    race.until('a leaf moves', (r) => r.outputs['leafA.extend'] === true);
    race.input('frontShut', false);
    expect(race.outputs['leafA.extend']).toBe(false);
    race.for(400);
    race.kg = 0;
    race.for(600).input('frontShut', true).for(5000);
    expect(race.rows()[0]).toMatchObject({ exit: null });
    expect(race.rows()[0]?.flags).toContain('let-out-early');
    expect(race.state.cycle.mode).toBe('fault');
    race.command({ do: 'clear' }).for(3000);
    expect(race.outputs['leafA.retract']).toBe(false);
    race.command({ do: 'start' }).command({ do: 'confirm' });
    race.until('home again', (r) => r.state.cycle.mode === 'running');
    expect(race.state.gate.at).toBe('ahead');
  });

  test('a later rise overturns a decision: the signal goes for half a second, then the leaves move', () => {
    const race = comesOn(started(), 36.4).until('ready', isReady);
    const before = race.events.length;
    race.kg = 48.1;
    race.until('decided anew', (r) => decided(r)?.lot === 'Heavy' && !isReady(r));
    const takenBack = race.t;
    race.until('a leaf moves', (r) => r.outputs['leafA.retract'] === true);
    expect(race.t - takenBack).toBeGreaterThanOrEqual(0);
    const between = race.events.slice(before);
    expect(between.some((e) => e.kind === 'stroke')).toBe(true);
    goes(race.until('ready for the new exit', isReady));
    expect(race.rows()[0]).toMatchObject({ lot: 'Heavy', exit: 'right', revisions: 1 });
  });
});

describe('by hand', () => {
  test('the named exit is taken, the weight is recorded, a gone animal is refused aloud', () => {
    const race = comesOn(started(), 36.4).until('ready', isReady);
    race.command({ do: 'exit', exit: 'right' });
    goes(race.for(600).until('ready at right', (r) => isReady(r) && r.state.gate.at === 'right'));
    expect(race.rows()[0]).toMatchObject({ exit: 'right', rule: 'by-hand', unsure: false });
    expect(race.rows()[0]?.recordedKg).toBeCloseTo(36.4, 1);
    race.command({ do: 'exit', exit: 'left', animal: 1 });
    expect(race.refusals()).toEqual(['Animal 1 has gone.']);
  });

  test('works with no weigh head at all', () => {
    const race = started();
    race.talks = false;
    race.for(2500);
    race.command({ do: 'exit', exit: 'left' });
    goes(race.until('ready', isReady));
    expect(race.rows()[0]).toMatchObject({ exit: 'left', rule: 'by-hand', recordedKg: null });
  });
});

describe('tags', () => {
  test('a held animal never goes to slaughter by hand: refused aloud, with the free day', () => {
    const race = comesOn(started(withPlan(TAGS)), 42.6);
    race.tag('999000000000001', { held: true, freeOn: '2026-12-01' }).for(500);
    race.command({ do: 'exit', exit: 'ahead' });
    expect(race.refusals()[0]).toMatch(/2026-12-01/);
    goes(race.until('ready', isReady));
    expect(race.rows()[0]).toMatchObject({ lot: 'Stores', exit: 'left', rule: 'withdrawal' });
  });

  test('of two tags one of which is held, nobody knows: it counts as held', () => {
    const race = comesOn(started(withPlan(TAGS)), 42.6);
    race.tag('999000000000001').tag('999000000000002', { held: true }).for(200);
    race.command({ do: 'exit', exit: 'ahead' });
    expect(race.refusals()).toHaveLength(1);
    expect(race.state.cycle.animal?.flags).toContain('two-tags');
  });

  test('a tag list decides, and the let-go signal waits for a weight worth recording', () => {
    const race = started(withPlan(TAGS));
    race.tag('999000000000003', { list: 'keep-back.csv' });
    comesOn(race, 42.6).until('ready', isReady);
    expect(race.state.cycle.animal?.basis).not.toBeNull();
    expect(decided(race)).toMatchObject({ rule: 'tag', lot: 'Stores', exit: 'left' });
    expect(race.state.cycle.animal?.decisionKg ?? 0).toBeLessThan(43);
    goes(race);
    expect(race.rows()[0]?.recordedKg).toBeCloseTo(42.6, 1);
  });

  test('three unread in a row offer once to carry on without tags', () => {
    const race = started(withPlan({ tags: { ...TAGS.tags, unread: { lot: 'Stores' } } }));
    const offers = (): unknown[] =>
      race.events.filter((e) => e.kind === 'call' && e.reason.includes('without tags'));
    for (let n = 0; n < 3; n += 1) goes(comesOn(race, 36.4).until('ready', isReady));
    expect(offers()).toHaveLength(1);
    for (let n = 0; n < 4; n += 1) goes(comesOn(race, 36.4).until('ready', isReady));
    expect(offers()).toHaveLength(1);
    race.command({ do: 'answer', answer: 'carry-on-without-tags' });
    goes(comesOn(race, 42.6).until('ready', isReady));
    expect(race.rows().at(-1)).toMatchObject({ lot: 'Fit', tag: null });
  });

  test('a kept tag frees nobody while a treatment of the mob is open', () => {
    const medicine = { untaggedHeld: true, freeOn: null, colours: [] };
    const race = started(withPlan({ ...TAGS, medicine }));
    comesOn(race, 42.6).tag('999000000000004').for(300);
    race.kg = 0;
    race.for(1500);
    comesOn(race, 42.6).for(300);
    race.command({ do: 'exit', exit: 'ahead' });
    expect(race.refusals()).toHaveLength(1);
  });
});

test('a fourth mark is refused, one taken away makes room', () => {
  const race = comesOn(started(), 42.6);
  for (const name of ['lame', 'keep', 'twin']) {
    race.command({ do: 'mark', mark: { name, value: true } });
  }
  const given = race.state.cycle.animal?.marks.length ?? 0;
  expect(given).toBeGreaterThan(0);
  race.command({ do: 'mark', mark: { name: 'colour-of-its-eyes', value: 'blue' } });
  expect(race.refusals().length).toBeGreaterThan(0);
  expect(race.state.cycle.animal?.marks).toHaveLength(given);
});

describe('start and stop', () => {
  test('a stop-loop pulse between two ticks is seen, and nothing moves before a fresh start', () => {
    const race = comesOn(started(), 36.4);
    race.until('a leaf moves', (r) => r.outputs['leafA.extend'] === true);
    race.give({ t: race.t, input: 'stopLoop', on: false });
    expect(race.outputs['leafA.extend']).toBe(false);
    race.give({ t: race.t + 5, input: 'stopLoop', on: true });
    race.for(3000);
    expect(race.state.cycle.mode).toBe('fault');
    expect(race.outputs['keepAlive']).toBe(false);
    race.command({ do: 'clear' }).for(1000);
    expect([race.outputs['leafA.extend'], race.outputs['leafA.retract']]).toEqual([false, false]);
  });

  test('a pause lets the stroke under way end and begins no other', () => {
    const race = comesOn(started(), 36.4);
    race.until('a leaf moves', (r) => r.outputs['leafA.extend'] === true);
    race.command({ do: 'pause' }).for(2000);
    expect(race.state.gate.leaves['leafA']?.position).toBe('extended');
    expect(isReady(race)).toBe(false);
    race.command({ do: 'start' }).command({ do: 'confirm' });
    goes(race.until('ready', isReady));
    expect(race.rows()[0]).toMatchObject({ lot: 'Stores', exit: 'left' });
  });
});
