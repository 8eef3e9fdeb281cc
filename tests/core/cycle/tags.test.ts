/** To whom a tag belongs: the rules that docs/profiles.md gives. */
import { describe, expect, test } from 'vitest';
import type { Config } from '../../../src/core/step.ts';
import { comesOn, goes, isReady, started, type Race } from './race.ts';

const [A, B, C] = ['826000000000001', '826000000000002', '826000000000003'] as const;

/** A plan that waits for tags; an animal whose tag is not read goes to Stores. */
const reading = (config: Config): Config => ({
  ...config,
  plan: {
    ...config.plan,
    tags: { lists: [], withdrawal: { lot: 'Stores' }, unread: { lot: 'Stores' } },
  },
});
const sent = (race: Race): Race => goes(race.until('ready', isReady));
const tags = (race: Race): (string | null)[] => race.rows().map((row) => row.tag);

describe('one read belongs to the animal', () => {
  test('that comes on next, when the crate is empty', () => {
    const race = started(reading).tag(A).for(3000);
    expect(tags(sent(comesOn(race, 42.6)))).toEqual([A]);
    expect(tags(sent(comesOn(race, 42.6)))).toEqual([A, null]);
  });

  test('that is on the crate, before its weight is known and after it was decided', () => {
    const race = started(reading);
    race.kg = 20;
    race.for(100).tag(A);
    sent(comesOn(race, 42.6));
    const undecided = (): boolean => race.state.cycle.animal?.basis === null;
    comesOn(race, 36.4).until('weighed', () => !undecided());
    race.tag(B);
    sent(race);
    expect(tags(race)).toEqual([A, B]);
  });

  test('that comes next, from the moment that the front opens', () => {
    const race = comesOn(started(reading), 42.6).tag(A).until('ready', isReady);
    race.input('frontShut', false).for(200).tag(B).for(300);
    race.kg = 0;
    race.for(600).input('frontShut', true).for(1500);
    sent(comesOn(race, 36.4));
    expect(tags(race)).toEqual([A, B]);
  });

  test('that follows nose to tail, also before the front is shut behind the one before', () => {
    const race = comesOn(started(reading), 42.6).tag(A).until('ready', isReady);
    race.input('frontShut', false).for(300);
    race.kg = 36.4;
    race.for(300).tag(B).for(300).input('frontShut', true).for(200);
    sent(race);
    expect(tags(race)).toEqual([A, B]);
    expect(race.rows()[1]?.flags).toContain('follower');
  });
});

test('the same tag again changes nothing; of two read before anybody came on the last counts', () => {
  const race = started(reading).tag(C).for(500).tag(A).for(500);
  sent(comesOn(race, 42.6).tag(A).for(100).tag(A));
  expect(race.rows()[0]).toMatchObject({ tag: A, flags: [], lot: 'Fit' });
});

test('two tags on one animal: the first is written down, flagged, and it goes the way of withdrawal', () => {
  const race = comesOn(started(reading), 42.6).tag(A);
  race.for(100).tag(B, { held: true }).for(100).tag(C);
  sent(race);
  expect(race.rows()[0]).toMatchObject({ tag: A, lot: 'Stores', rule: 'withdrawal' });
  expect(race.rows()[0]?.flags.filter((flag) => flag === 'two-tags')).toHaveLength(1);
});

test('two tags that are both free: not sure, so the way that the plan says, or by hand', () => {
  const race = started((config) => {
    const plan = { ...reading(config).plan, unsure: { lot: 'Stores' } };
    return { ...config, plan };
  });
  sent(comesOn(race, 42.6).tag(A).tag(B));
  expect(race.rows()[0]).toMatchObject({ tag: A, lot: 'Stores', rule: 'unsure', unsure: true });
  comesOn(race, 42.6).tag(A).tag(B).command({ do: 'exit', exit: 'ahead' });
  sent(race);
  expect(race.rows()[1]).toMatchObject({ tag: A, exit: 'ahead', rule: 'by-hand' });
  expect(race.rows()[1]?.flags).toContain('two-tags');
});

test('none: at the call time it goes where the plan sends the unread, and is flagged', () => {
  const race = comesOn(started(reading), 42.6);
  sent(race);
  expect(race.rows()[0]).toMatchObject({ tag: null, lot: 'Stores' });
  expect(race.rows()[0]?.flags).toContain('unread');
  const { enteredAt, decidedAt } = race.rows()[0] ?? {};
  expect((decidedAt ?? 0) - (enteredAt ?? 0)).toBeGreaterThanOrEqual(
    race.config.plan.decide.callAfterMs,
  );
});

test('a tag kept from one that backed out gives way to one that is read', () => {
  const race = comesOn(started(reading), 36.4).tag(A).for(500);
  race.kg = 0;
  race.for(1500);
  sent(comesOn(race, 42.6).tag(B));
  expect(race.rows()[0]).toMatchObject({ tag: B, flags: [] });
});
