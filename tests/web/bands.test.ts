import { describe, expect, test } from 'vitest';
import { classes, cutsOf, headIn, movedUp, renamed, withCut } from '../../src/web/plan/bands.ts';
import { planWords } from '../../src/web/words/plan.ts';
import { newPlan } from '../../src/config/plan.ts';
import { planWords as pseudo } from './pseudo-plan.ts';

const plan = newPlan(['left', 'ahead', 'right']);
const withAside = {
  ...plan,
  lots: [{ name: 'Keep', exit: 'left', aside: true }, ...plan.lots],
};

describe('weights under the cuts', () => {
  test('a weight exactly on a cut goes up; one that is not of this mob is in no lot', () => {
    expect(headIn(plan, [39.99, 40, 44.99, 45, 11.9, 65.1])).toEqual([1, 2, 1]);
  });

  test('a lot that takes none by weight has no cut and no head', () => {
    expect(
      cutsOf(withAside).map(({ lot, kg, lighter, heavier }) => [lot, kg, lighter, heavier]),
    ).toEqual([
      [1, 40, 'Stores', 'Fit'],
      [2, 45, 'Fit', 'Heavy'],
    ]);
    expect(headIn(withAside, [30, 41])).toEqual([1, 1, 0]);
  });

  test('a cut that is dragged stays between its neighbours, in steps of 0.1 kg', () => {
    const kgAfter = (lot: number, kg: number) => withCut(withAside, lot, kg).lots[lot]?.belowKg;
    expect([
      kgAfter(1, 38.27),
      kgAfter(1, 50),
      kgAfter(2, 10),
      kgAfter(1, 0),
      kgAfter(2, 99),
    ]).toEqual([38.3, 44.9, 40.1, 12.1, 64.9]);
  });

  test('a bar for each kilogram between the lightest and the heaviest, empty ones too', () => {
    expect(classes([40.2, 40.9, 43])).toEqual([
      { fromKg: 40, head: 2 },
      { fromKg: 41, head: 0 },
      { fromKg: 42, head: 0 },
      { fromKg: 43, head: 1 },
    ]);
    expect(classes([])).toEqual([]);
  });
});

test('the pseudo-language says every text of the plan, longer', () => {
  expect(Object.keys(pseudo).sort()).toEqual(Object.keys(planWords).sort());
  expect(pseudo.caution.length).toBeGreaterThan(planWords.caution.length * 1.4);
});

const led = {
  ...plan,
  lots: plan.lots.map((lot, at) =>
    at === 0
      ? lot
      : { ...lot, capacity: 9, whenFull: { overflow: 'Stores' }, splitWith: ['Stores'] },
  ),
  unsure: { lot: 'Stores' },
  tags: {
    lists: [{ file: 'Stores', lot: 'Stores' }],
    withdrawal: { lot: 'Stores' },
    unread: { exit: 'left' },
  },
  gain: { leastDays: 14, rules: [{ belowGramsPerDay: 100, lot: 'Stores' }] },
  marks: { offer: ['lame'], rules: [{ when: [{ mark: 'lame' }], lot: 'Stores' }] },
};

describe('a lot that is renamed', () => {
  test('is led to by all that led to it before, and nothing else is touched', () => {
    const text = JSON.stringify(led)
      .replaceAll('"Stores"', '"Keep"')
      .replace('"file":"Keep"', '"file":"Stores"');
    expect(renamed(led, 0, 'Keep')).toEqual(JSON.parse(text));
  });

  test('takes nothing of another lot of the same name along', () => {
    const twice = renamed(led, 1, 'Stores');
    expect(twice.unsure).toEqual({ lot: 'Stores' });
    expect(renamed(twice, 1, 'Fit').unsure).toEqual({ lot: 'Stores' });
    expect(renamed(twice, 1, 'Fit')).toEqual(led);
  });
});

test('a lot that moves up takes the band of the one before it', () => {
  const moved = movedUp(led, 1).lots;
  expect(moved.map(({ name, belowKg }) => [name, belowKg])).toEqual([
    ['Fit', 40],
    ['Stores', 45],
    ['Heavy', undefined],
  ]);
  expect(movedUp(led, 2).lots.map(({ name, belowKg }) => [name, belowKg])).toEqual([
    ['Stores', 40],
    ['Heavy', 45],
    ['Fit', undefined],
  ]);
  expect(movedUp(withAside, 1).lots.map(({ name, belowKg }) => [name, belowKg])).toEqual([
    ['Stores', 40],
    ['Keep', undefined],
    ['Fit', 45],
    ['Heavy', undefined],
  ]);
  expect(movedUp(led, 0)).toEqual(led);
});
