/** What is easily got wrong by one sign or one word: found by putting such faults into the sort plan. */
import { describe, expect, it } from 'vitest';
import { decide } from '../../../src/core/sortplan/decide.ts';
import { dayNumber } from '../../../src/core/sortplan/days.ts';
import { byMarks } from '../../../src/core/sortplan/marks.ts';
import type { Plan } from '../../../src/core/sortplan/plan.ts';
import { mobMedicine, OFF_LABEL } from '../../../src/core/sortplan/withdrawal.ts';
import { draft, lamb } from './plans.ts';

describe('sorting without a weight', () => {
  const plan: Plan = { ...draft, work: 'sort-only' };
  const untagged = { ...lamb, kg: null, uKg: null, basis: null, tag: null, known: null };
  it('a list names nobody who has no tag, also where tags are not waited for', () => {
    const carriesOn = { ...untagged, tagsOff: true };
    expect(decide(plan, { ...carriesOn, afterMs: 4999 }, {})).toBeNull();
    const late = decide(plan, { ...carriesOn, afterMs: 5000 }, {});
    expect(late).toMatchObject({ exit: null, rule: 'unsure' });
  });
});

describe('a plan', () => {
  it('without rules on gain takes the last weight for nothing', () => {
    const known = { held: false, list: null, lastKg: 35, lastDays: 20 };
    expect(decide(draft, { ...lamb, known }, {})).toMatchObject({ lot: 'Fit', rule: 'sure' });
  });
  it('that names a lot it has not holds, and marks the row with nothing', () => {
    const tags = { lists: [{ file: 'a.csv', lot: 'Nowhere' }], withdrawal: { lot: 'Stores' } };
    const plan: Plan = { ...draft, tags: { ...tags, unread: 'hold' } };
    const known = { held: false, list: 'a.csv', lastKg: null, lastDays: null };
    const held = { lot: null, exit: null, rule: 'tag', flags: [] };
    expect(decide(plan, { ...lamb, known }, {})).toMatchObject(held);
  });
});

it('a tick is no number: a range is met by numbers alone', () => {
  const rules = [{ when: [{ mark: 'lame', from: 0 }], lot: 'Stores' }];
  const marks = { offer: [], rules } as unknown as NonNullable<Plan['marks']>;
  const told = (value: boolean | number) =>
    byMarks({ ...draft, marks }, { ...lamb, marks: [{ name: 'lame', value }] });
  expect([told(true), told(2)?.valueOf()]).toEqual([null, { rule: rules[0], weighed: false }]);
});

it('a colour given to tagged animals alone says nothing of others that wear it', () => {
  const givenDay = dayNumber('2026-09-01') ?? Number.NaN;
  const drench = { product: 'Drench', batch: 'B1', givenDay, days: 6, use: 'label' as const };
  const given = { ...drench, tags: ['999000000000001'], mob: 'Hill', colour: 'blue' };
  const told = (tags: string[]) =>
    mobMedicine([{ ...given, tags }], ['Hill'], givenDay + 1, OFF_LABEL).colours;
  expect([told(given.tags), told([]).length]).toEqual([[], 1]);
});
