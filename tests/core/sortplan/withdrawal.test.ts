import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { dayNumber, dayText } from '../../../src/core/sortplan/days.ts';
import { killDay, tagFacts } from '../../../src/core/sortplan/facts.ts';
import {
  freeDay,
  mobMedicine,
  OFF_LABEL,
  periodDays,
  standing,
} from '../../../src/core/sortplan/withdrawal.ts';
import type { Treatment } from '../../../src/core/sortplan/withdrawal.ts';
import { draft } from './plans.ts';

const day = (text: string): number => dayNumber(text) ?? Number.NaN;

const GIVEN = '2026-09-01';

function treatment(over: Partial<Treatment> = {}): Treatment {
  return {
    product: 'Drench',
    batch: 'B1',
    givenDay: day(GIVEN),
    days: 6,
    use: 'label',
    tags: [],
    mob: 'Top field',
    colour: null,
    ...over,
  };
}

describe('days', () => {
  it('agree with the calendar of the platform on every day from 1900 to 2099', () => {
    const wrong: string[] = [];
    const from = Date.UTC(1900, 0, 1) / 86_400_000;
    const to = Date.UTC(2100, 0, 1) / 86_400_000;
    for (let number = from; number < to; number++) {
      const text = new Date(number * 86_400_000).toISOString().slice(0, 10);
      if (dayNumber(text) !== number || dayText(number) !== text) wrong.push(text);
    }
    expect(to - from).toBe(73_049);
    expect(wrong).toEqual([]);
  });

  it.each([
    '2026-02-29',
    '2026-13-01',
    '2026-00-10',
    '2026-04-31',
    '2026-04-00',
    '1899-12-31',
    '3000-01-01',
    '2026-4-1',
    '01-04-2026',
    ' 2026-04-01',
    '2026-04-01 ',
    '',
  ])('are refused where there is no such day: "%s"', (text) => {
    expect(dayNumber(text)).toBeNull();
  });

  it('know leap years', () => {
    expect([dayNumber('2000-02-29'), dayNumber('2100-02-29')]).toEqual([11_016, null]);
    expect(dayNumber('2999-12-31')).toBe(Date.UTC(2999, 11, 31) / 86_400_000);
  });
});

describe('withdrawal period', () => {
  // Finnish Medicines Agency: with a period of 6 days the 7th day is the earliest.
  it('6 days: free on the 7th day after the last dose', () => {
    expect(dayText(freeDay(day(GIVEN), 6))).toBe('2026-09-08');
  });

  it('of one day ends after one whole day; none holds nothing', () => {
    expect(dayText(freeDay(day(GIVEN), 1))).toBe('2026-09-03');
    expect(dayText(freeDay(day(GIVEN), 0))).toBe(GIVEN);
  });

  // Worked figures of the reference values for VMR 2013/2033 Sch 4 para 2; rounding up by
  // EU 2019/6 Art 115(5), from memory: 35 x 1.5 = 52.5 -> 53; 9 x 1.5 = 13.5 -> 14.
  it.each([
    [35, 'off-label', 53],
    [9, 'off-label', 14],
    [0, 'not-for-food', 28],
    [9, 'not-for-food', 28],
    [35, 'not-for-food', 53],
    [35, 'label', 35],
    [0, 'label', 0],
    // EU 2019/6 Art 115: one day where the label says none (from memory).
    [0, 'off-label', 1],
    [2.5, 'label', 3],
  ] as const)('%d days, %s: %d days', (days, use, period) => {
    expect(periodDays(days, use, OFF_LABEL)).toBe(period);
  });

  it('follows the settings, without a day too many for binary fractions', () => {
    const own = { factor: 1.1, leastDays: 28, notForFoodDays: 60, source: 'own' };
    expect(periodDays(10, 'off-label', { ...own, leastDays: 1 })).toBe(11);
    expect(periodDays(10, 'off-label', own)).toBe(28);
    expect(periodDays(10, 'not-for-food', own)).toBe(60);
    expect(periodDays(1000, 'off-label', { ...own, factor: 1.005 })).toBe(1005);
    // A factor under one never shortens the label.
    expect(periodDays(40, 'off-label', { ...own, factor: 0.5 })).toBe(40);
  });

  it('is unclear where it is not known', () => {
    for (const use of ['label', 'off-label', 'not-for-food'] as const) {
      expect(periodDays(null, use, OFF_LABEL)).toBeNull();
      expect(periodDays(-1, use, OFF_LABEL)).toBeNull();
      expect(periodDays(Number.NaN, use, OFF_LABEL)).toBeNull();
    }
  });
});

describe('standing of an animal', () => {
  const tag = '999000000000001';
  const other = '999000000000002';
  const who = { tag, mobs: ['Top field'] };
  const untagged = { tag: null, mobs: ['Top field'] };
  const ask = (
    treatments: Treatment[],
    kill: string | null,
    of = who as Parameters<typeof standing>[1],
  ) => {
    const found = standing(treatments, of, kill === null ? null : day(kill), OFF_LABEL);
    return [found.held, found.freeDay === null ? null : dayText(found.freeDay)];
  };

  it('is free with no treatment, and when all are over', () => {
    expect(ask([], null)).toEqual([false, null]);
    expect(ask([treatment()], '2026-09-08')).toEqual([false, null]);
    expect(ask([treatment()], '2026-09-07')).toEqual([true, '2026-09-08']);
  });

  it('counts from the last dose', () => {
    const doses = [treatment(), treatment({ givenDay: day('2026-09-03') })];
    expect(ask(doses, '2026-09-09')).toEqual([true, '2026-09-10']);
    expect(ask(doses.toReversed(), '2026-09-09')).toEqual([true, '2026-09-10']);
    expect(ask(doses, '2026-09-06')).toEqual([true, '2026-09-10']);
  });

  it('by tag concerns that tag alone', () => {
    const given = treatment({ tags: [tag] });
    expect(ask([given], GIVEN)).toEqual([true, '2026-09-08']);
    expect(ask([given], GIVEN, { ...who, tag: other })).toEqual([false, null]);
    // Even of a mob that it is not known from.
    expect(ask([given], GIVEN, { tag, mobs: ['Hill'] })).toEqual([true, '2026-09-08']);
  });

  it('with no tag counts as treated while any treatment of the mob is open', () => {
    for (const given of [
      treatment(),
      treatment({ tags: [other] }),
      treatment({ colour: 'blue' }),
    ]) {
      expect(ask([given], '2026-09-07', untagged)).toEqual([true, '2026-09-08']);
      expect(ask([given], '2026-09-08', untagged)).toEqual([false, null]);
      expect(ask([given], '2026-09-07', { tag: null, mobs: ['Hill'] })).toEqual([false, null]);
      // A treatment of no named mob, or a session of none, may be of this one.
      expect(ask([{ ...given, mob: null }], '2026-09-07', untagged)).toEqual([null, '2026-09-08']);
      expect(ask([given], '2026-09-07', { tag: null, mobs: [] })).toEqual([null, '2026-09-08']);
    }
  });

  it('is unclear for a tagged animal of a mob in which a colour was treated', () => {
    expect(ask([treatment({ colour: 'blue' })], GIVEN)).toEqual([null, '2026-09-08']);
    expect(ask([treatment({ colour: 'blue' })], GIVEN, { tag, mobs: ['Hill'] })).toEqual([
      false,
      null,
    ]);
  });

  it('is unclear where period, day or order are', () => {
    expect(ask([treatment({ days: null })], '2030-01-01')).toEqual([null, null]);
    expect(ask([treatment()], null)).toEqual([null, '2026-09-08']);
    expect(ask([treatment({ days: 0 })], '2026-08-31')).toEqual([null, GIVEN]);
    expect(ask([treatment({ days: 0 })], GIVEN)).toEqual([false, null]);
  });

  it('held for certain outweighs unclear, and an unknown end leaves the free day unknown', () => {
    const unclear = treatment({ days: null });
    for (const given of [
      [unclear, treatment()],
      [treatment(), unclear],
    ])
      expect(ask(given, GIVEN)).toEqual([true, null]);
  });

  it('never gets freer by one more treatment; no tag is never better than a tag', () => {
    const any = fc.record({
      product: fc.constant('Drench'),
      batch: fc.constant(''),
      givenDay: fc.integer({ min: 20_000, max: 20_060 }),
      days: fc.option(fc.integer({ min: 0, max: 60 })),
      use: fc.constantFrom('label', 'off-label', 'not-for-food'),
      tags: fc.subarray([tag, other]),
      mob: fc.constantFrom('Top field', 'Hill', null),
      colour: fc.constantFrom('blue', null),
    });
    const someone = fc.record({
      tag: fc.constantFrom(tag, other, null),
      mobs: fc.subarray(['Top field', 'Hill']),
    });
    fc.assert(
      fc.property(
        fc.array(any),
        any,
        someone,
        fc.option(fc.integer({ min: 19_990, max: 20_200 })),
        (treatments, more, asked, kill) => {
          const before = standing(treatments, asked, kill, OFF_LABEL);
          const after = standing([...treatments, more], asked, kill, OFF_LABEL);
          expect(before.held === false || after.held !== false).toBe(true);
          // No tag is never better than a tag.
          const none = standing(treatments, { ...asked, tag: null }, kill, OFF_LABEL);
          const ofMob = treatments.filter(
            (one) => one.mob === null || asked.mobs.includes(one.mob),
          );
          if (asked.mobs.length > 0 && none.held === false)
            expect(standing(ofMob, asked, kill, OFF_LABEL).held).toBe(false);
        },
      ),
    );
  });
});

describe('facts of a session', () => {
  it('say what untagged animals and colour marks count as', () => {
    const treatments = [
      treatment({ tags: ['999000000000001'] }),
      treatment({ mob: 'Hill', colour: 'blue', days: 10 }),
      treatment({ mob: 'Hill', colour: 'green', days: 2 }),
    ];
    const kill = day('2026-09-05');
    expect(mobMedicine(treatments, ['Top field'], kill, OFF_LABEL)).toEqual({
      untaggedHeld: true,
      freeOn: '2026-09-08',
      colours: [{ colour: 'blue', freeOn: '2026-09-12' }],
    });
    expect(mobMedicine(treatments, ['Low field'], kill, OFF_LABEL)).toMatchObject({
      untaggedHeld: false,
      freeOn: null,
    });
    expect(mobMedicine([], [], null, OFF_LABEL)).toEqual({
      untaggedHeld: false,
      freeOn: null,
      colours: [],
    });
  });

  it('judge on the earliest day of a kill; a lot without one is killed today', () => {
    const today = day('2026-09-04');
    const [stores, fit, heavy] = draft.lots as [object, object, object];
    const plan = (a: object, b: object) =>
      ({ ...draft, lots: [stores, { ...fit, ...a }, { ...heavy, ...b }] }) as typeof draft;
    expect(killDay(draft, today)).toBe(today);
    expect(killDay(draft, null)).toBeNull();
    const soon = { killOn: '2026-09-10' };
    expect(killDay(plan(soon, { killOn: '2026-09-12' }), today)).toBe(day('2026-09-10'));
    expect(killDay(plan({ killOn: '2026-09-12' }, soon), null)).toBe(day('2026-09-10'));
    expect(killDay(plan(soon, {}), today)).toBe(today);
    expect(killDay(plan(soon, {}), null)).toBeNull();
    expect(killDay({ ...draft, lots: [] }, today)).toBe(today);
  });

  it('go with a tag', () => {
    const book = {
      treatments: [treatment()],
      offLabel: OFF_LABEL,
      mobsOf: () => ['Top field'],
      listOf: () => 'keep-back.csv',
      lastWeight: () => ({ kg: 34.2, day: day('2026-08-14') }),
      killDay: day('2026-09-04'),
      today: day('2026-09-04'),
    };
    expect(tagFacts('999000000000001', book)).toEqual({
      held: true,
      list: 'keep-back.csv',
      lastKg: 34.2,
      lastDays: 21,
      freeOn: '2026-09-08',
    });
    expect(tagFacts('1', { ...book, today: null })).toMatchObject({ lastKg: 34.2, lastDays: null });
    expect(tagFacts('1', { ...book, today: day('2026-08-13') })).toMatchObject({ lastDays: null });
    expect(tagFacts('1', { ...book, today: day('2026-08-14') })).toMatchObject({ lastDays: 0 });
    expect(tagFacts('1', { ...book, treatments: [], lastWeight: () => null })).toMatchObject({
      held: false,
      lastKg: null,
      lastDays: null,
      freeOn: null,
    });
  });
});
