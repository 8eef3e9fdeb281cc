import { describe, expect, it } from 'vitest';
import { cutsKg, decide } from '../../../src/core/sortplan/decide.ts';
import { headIn, placesLeft } from '../../../src/core/sortplan/capacity.ts';
import { sessionPlan } from '../../../src/core/sortplan/facts.ts';
import { gainSince } from '../../../src/core/sortplan/gain.ts';
import { markProblem, withMark } from '../../../src/core/sortplan/marks.ts';
import type {
  AnimalFacts,
  Counts,
  GainPlan,
  Lot,
  MarkRule,
  Plan,
} from '../../../src/core/sortplan/plan.ts';
import { afterAnimal, noUnread } from '../../../src/core/sortplan/unread.ts';
import { OFF_LABEL } from '../../../src/core/sortplan/withdrawal.ts';
import type { Mark } from '../../../src/core/trace.ts';
import { draft, lamb } from './plans.ts';

const [stores, fit, heavy] = draft.lots as [Lot, Lot, Lot];

function say(plan: Partial<Plan>, animal: Partial<AnimalFacts>, counts: Counts = {}) {
  const decision = decide({ ...draft, ...plan }, { ...lamb, ...animal }, counts);
  if (decision === null) return null;
  const { lot, exit, rule, reason, flags } = decision;
  return [lot, exit, rule, reason, ...flags];
}

describe('daily gain', () => {
  // Worked figures of the reference values: (41.5 - 34.2) / 21 days = 348 g a day; with 0.5 kg of
  // uncertainty a weight: 34 g a day over 21 days, 51 over 14, 101 over 7.
  it.each([
    [21, 348, 34],
    [14, 521, 51],
    [7, 1043, 101],
  ])('over %d days is %d g a day, uncertain by %d', (days, grams, u) => {
    const gain = gainSince(41.5, 0.08, 34.2, days);
    expect(gain?.days).toBe(days);
    expect(Math.round(gain?.gramsPerDay ?? 0)).toBe(grams);
    expect(Math.round(gain?.uGramsPerDay ?? 0)).toBe(u);
  });

  it('is more uncertain with a worse weight, and unknown without a day between', () => {
    expect(gainSince(41.5, 1.2, 34.2, 10)?.uGramsPerDay).toBeCloseTo(130, 9);
    expect(gainSince(41.5, null, 34.2, 21)).toEqual(gainSince(41.5, 0.5, 34.2, 21));
    for (const [last, days] of [
      [null, 21],
      [34.2, null],
      [34.2, 0],
      [34.2, -1],
      [Number.NaN, 21],
    ] as const)
      expect(gainSince(41.5, null, last, days)).toBeNull();
  });

  const gain: GainPlan = {
    leastDays: 7,
    rules: [
      { belowGramsPerDay: 150, lot: 'Stores' },
      { fromGramsPerDay: 350, belowGramsPerDay: 900, lot: 'Heavy' },
    ],
  };
  const since = (lastKg: number, lastDays: number): Partial<AnimalFacts> => ({
    known: { held: false, list: null, lastKg, lastDays },
  });

  it('decides where it is surely beyond a limit, and says with what doubt', () => {
    // 41.6 - 40.6 = 1 kg in 20 days: 50 g a day; two standard uncertainties are 70.7.
    expect(say({ gain }, since(40.6, 20))).toEqual([
      'Stores',
      'left',
      'gain',
      '41.6 kg: gain 50 g a day, give or take 71, over 20 days: Stores',
    ]);
    // 41.6 - 32.6 = 9 kg in 20 days: 450.
    expect(say({ gain }, since(32.6, 20))?.slice(0, 3)).toEqual(['Heavy', 'right', 'gain']);
    // 1000 g a day is beyond the second limit of that rule.
    expect(say({ gain }, since(21.6, 20))?.[2]).toBe('sure');
  });

  it('too near to a limit leaves it to the weight, and says so', () => {
    expect(say({ gain }, since(39.6, 20))).toEqual([
      'Fit',
      'ahead',
      'sure',
      '41.6 kg: Fit, 40 to 45; sure after 0.8 s; gain 100 g a day, give or take 71, over 20 days',
    ]);
    expect(say({ gain }, since(34, 20))?.[2]).toBe('sure');
    expect(say({ gain }, since(22.8, 20))?.[2]).toBe('sure');
  });

  it('exactly at a limit, doubt and all: not below it, and from it on', () => {
    // 1 kg in 20 days is 50 g a day; with 1.2 kg of uncertainty twice sqrt(1.44 + 0.25) kg is 130.
    const exact = { ...since(44, 20), kg: 45, uKg: 1.2 };
    const rules = (rule: GainPlan['rules'][number]) => ({ gain: { leastDays: 7, rules: [rule] } });
    expect(say(rules({ belowGramsPerDay: 180, lot: 'Stores' }), exact)?.[2]).toBe('sure');
    expect(say(rules({ belowGramsPerDay: 181, lot: 'Stores' }), exact)?.[2]).toBe('gain');
    expect(say(rules({ fromGramsPerDay: -80, lot: 'Stores' }), exact)?.[2]).toBe('gain');
    expect(say(rules({ fromGramsPerDay: -79, lot: 'Stores' }), exact)?.[2]).toBe('sure');
  });

  it('is silent where nothing is known from before', () => {
    const known = { held: false, list: null, lastKg: null, lastDays: null };
    expect(say({ gain }, { known })?.[3]).toBe('41.6 kg: Fit, 40 to 45; sure after 0.8 s');
    // 7.3 kg in 21 days: 347.6 g a day.
    expect(say({ gain }, { ...since(34.3, 21) })?.[3]).toMatch(
      /gain 348 g a day, give or take 67,/,
    );
    expect(gainSince(41.6, null, 41.1, 1)?.gramsPerDay).toBeCloseTo(500, 9);
  });

  it('too recent is said', () => {
    expect(say({ gain }, since(41.6, 6))?.[3]).toBe(
      '41.6 kg: Fit, 40 to 45; sure after 0.8 s; last weighed 6 days ago, too recent for a gain',
    );
    expect(say({ gain }, since(45.6, 7))?.[2]).toBe('gain');
    expect(say({ gain }, { known: null })?.[3]).toBe('41.6 kg: Fit, 40 to 45; sure after 0.8 s');
  });

  it('keeps a lot within the leeway of its limit, in kg', () => {
    // The limit for Stores stands at 40.6 + 20 x 0.15 - 1.41 = 42.19 kg.
    const kg = (value: number, previousLot: string | null = null) =>
      say({ gain }, { ...since(40.6, 20), kg: value, previousLot })?.[2];
    expect([kg(42.18), kg(42.19)]).toEqual(['gain', 'sure']);
    expect([kg(42.48, 'Stores'), kg(42.49, 'Stores')]).toEqual(['gain', 'sure']);
    expect(kg(42.48, 'Fit')).toBe('sure');
    // The limit for Heavy at 32 + 20 x 0.35 + 1.41 = 40.41 kg.
    const fast = (value: number, previousLot: string | null) =>
      say({ gain }, { ...since(32, 20), kg: value, previousLot })?.[2];
    expect([fast(40.42, null), fast(40.41, null)]).toEqual(['gain', 'sure']);
    expect([fast(40.12, 'Heavy'), fast(40.11, 'Heavy')]).toEqual(['gain', 'sure']);
  });

  it('never outweighs tag, hand or a mob that it is not of', () => {
    expect(say({ gain }, { ...since(65.5, 7), kg: 66 })?.[2]).toBe('unsure');
    expect(say({ gain }, { ...since(41.6, 20), byHand: 'right' })?.[2]).toBe('by-hand');
    const known = { held: false, list: 'keep-back.csv', lastKg: 32, lastDays: 20 };
    expect(say({ gain }, { known })?.[2]).toBe('tag');
  });
});

describe('marks', () => {
  it.each<[Mark, string | null]>([
    [{ name: 'condition', value: 3 }, null],
    [{ name: 'condition', value: 4.5 }, null],
    [{ name: 'condition', value: 5.5 }, 'condition is one of 1, 1.5, 2, 2.5, 3, 3.5, 4, 4.5, 5'],
    [{ name: 'condition', value: true }, 'condition is one of 1, 1.5, 2, 2.5, 3, 3.5, 4, 4.5, 5'],
    [{ name: 'sex', value: 'castrated' }, null],
    [{ name: 'sex', value: 'x' }, 'sex is one of female, male, castrated'],
    [{ name: 'rearing', value: 'single' }, null],
    [{ name: 'rearing', value: 'twin' }, null],
    [{ name: 'keep', value: true }, null],
    [{ name: 'lame', value: false }, null],
    [{ name: 'lame', value: 'yes' }, 'lame is either given or not'],
    [{ name: 'colour', value: 'blue' }, null],
    [{ name: 'colour', value: '' }, 'colour needs a word'],
    [{ name: 'colour', value: 1 }, 'colour needs a word'],
    [{ name: 'horned', value: true }, 'no mark is called horned'],
    [{ name: 'toString', value: true }, 'no mark is called toString'],
  ])('%j: %s', (mark, problem) => {
    expect(markProblem(mark)).toBe(problem);
  });

  it('replace their like, are taken away by false, and are three at most', () => {
    const lame = { name: 'lame', value: true };
    const keep = { name: 'keep', value: true };
    const two = [lame, { name: 'condition', value: 2 }];
    expect(withMark([], lame)).toEqual([lame]);
    expect(withMark(two, { name: 'condition', value: 3 })).toEqual([
      lame,
      { name: 'condition', value: 3 },
    ]);
    expect(withMark(two, { name: 'lame', value: false })).toEqual(two.slice(1));
    const three = [...two, { name: 'sex', value: 'male' }];
    expect(withMark(three, keep)).toBe('3 marks are given already: take one away');
    expect(withMark(three, { name: 'sex', value: 'female' })).toHaveLength(3);
    expect(withMark([], { name: 'sex', value: 'x' })).toMatch(/^sex is one of/);
  });

  const rule = (over: Partial<MarkRule>): Partial<Plan> => ({
    marks: {
      offer: [],
      rules: [{ when: [{ mark: 'condition', from: 3 }], lot: 'Heavy', ...over }],
    },
  });
  const condition = (value: number): Partial<AnimalFacts> => ({
    marks: [{ name: 'condition', value }],
  });

  it('alone decide at once, as the word of the operator', () => {
    expect(say(rule({}), { ...condition(3), basis: null })).toEqual([
      'Heavy',
      'right',
      'by-hand',
      'by mark: condition: Heavy',
      'by-mark',
    ]);
    expect(say(rule({}), condition(3))?.[2]).toBe('by-hand');
    expect(say(rule({}), condition(2.5))?.[0]).toBe('Fit');
    expect(say(rule({}), {})?.[0]).toBe('Fit');
    // Before a list, and not before withdrawal.
    const listed = { held: false, list: 'keep-back.csv', lastKg: null, lastDays: null };
    expect(say(rule({}), { ...condition(3), known: listed })?.[0]).toBe('Heavy');
    expect(say(rule({}), { ...condition(3), known: { ...listed, held: true } })?.[2]).toBe(
      'withdrawal',
    );
    // To slaughter it waits for the tag, as all do.
    expect(say(rule({}), { ...condition(3), tag: null, known: null })).toBeNull();
    expect(say(rule({ lot: 'Stores' }), { ...condition(3), tag: null, known: null })?.[0]).toBe(
      'Stores',
    );
  });

  it('with a weight: from 40 kg and condition 3 up', () => {
    const plan = rule({ fromKg: 40, belowKg: 42 });
    expect(say(plan, condition(3))).toEqual([
      'Heavy',
      'right',
      'sure',
      '41.6 kg: by mark: condition: Heavy',
      'by-mark',
    ]);
    const lot = (kg: number, previousLot: string | null = null) =>
      say(plan, { ...condition(3), kg, previousLot })?.[0];
    expect([39.99, 40, 41.99, 42].map((kg) => lot(kg))).toEqual([
      'Stores',
      'Heavy',
      'Heavy',
      'Fit',
    ]);
    // The leeway holds for the lot that was decided, and for the others against it.
    expect([39.7, 39.69, 42.3, 42.31].map((kg) => lot(kg, 'Heavy'))).toEqual([
      'Heavy',
      'Stores',
      'Heavy',
      'Fit',
    ]);
    expect([40.3, 40.31, 41.69, 41.7].map((kg) => lot(kg, 'Fit'))).toEqual([
      'Fit',
      'Heavy',
      'Heavy',
      'Fit',
    ]);
    expect(say(plan, { ...condition(3), basis: null })).toBeNull();
    const unsure = { ...condition(3), basis: null, unsure: 'late' };
    expect(say(plan, unsure)?.[2]).toBe('unsure');
    // A list waits for the mark's weight, as marks come before lists; no longer than that.
    const known = { held: false, list: 'keep-back.csv', lastKg: null, lastDays: null };
    expect(say(plan, { ...condition(3), basis: null, known })).toBeNull();
    expect(say(plan, { ...unsure, known })?.[2]).toBe('tag');
    expect(say(rule({ belowKg: 42 }), { ...condition(3), kg: 11 })?.[2]).toBe('unsure');
    expect(say(rule({ fromKg: 40 }), { ...condition(3), basis: null })).toBeNull();
    expect(cutsKg({ ...draft, ...plan })).toEqual([12, 40, 42, 45, 65]);
  });

  it('meet each condition by its kind; the last mark of a name counts', () => {
    const met = (when: MarkRule['when'], marks: Mark[]) =>
      say(rule({ when }), { marks })?.[4] === 'by-mark';
    const two = { name: 'condition', value: 2 };
    expect(met([{ mark: 'condition', from: 2 }], [two])).toBe(true);
    expect(met([{ mark: 'condition', from: 2.5 }], [two])).toBe(false);
    expect(met([{ mark: 'condition', to: 2 }], [two])).toBe(true);
    expect(met([{ mark: 'condition', to: 1.5 }], [two])).toBe(false);
    expect(met([{ mark: 'condition', from: 1, to: 3 }], [two])).toBe(true);
    expect(met([{ mark: 'condition', is: 2 }], [two])).toBe(true);
    expect(met([{ mark: 'condition', is: 3 }], [two])).toBe(false);
    expect(met([{ mark: 'condition' }], [two])).toBe(true);
    expect(met([{ mark: 'condition', from: 1 }], [{ name: 'condition', value: 'x' }])).toBe(false);
    expect(met([{ mark: 'lame' }], [{ name: 'lame', value: true }])).toBe(true);
    expect(met([{ mark: 'lame' }], [{ name: 'lame', value: false }])).toBe(false);
    expect(met([{ mark: 'lame' }], [])).toBe(false);
    expect(met([{ mark: 'lame', is: false }], [])).toBe(true);
    expect(met([{ mark: 'lame', is: false }], [{ name: 'lame', value: false }])).toBe(true);
    expect(met([{ mark: 'lame', is: false }], [{ name: 'lame', value: true }])).toBe(false);
    expect(met([{ mark: 'lame', is: true }], [])).toBe(false);
    expect(met([{ mark: 'condition', is: 3 }], [two, { name: 'condition', value: 3 }])).toBe(true);
    expect(met([{ mark: 'condition' }, { mark: 'lame' }], [two])).toBe(false);
    const reason = say(rule({ when: [{ mark: 'condition' }, { mark: 'lame' }] }), {
      marks: [two, { name: 'lame', value: true }],
    })?.[3];
    expect(reason).toBe('41.6 kg: by mark: condition and lame: Heavy');
  });
});

describe('capacity', () => {
  it('is counted in places left', () => {
    expect(placesLeft(fit, { Fit: 58 })).toBe(2);
    expect(placesLeft(fit, { Fit: 61 })).toBe(0);
    expect(placesLeft(fit, {})).toBe(60);
    expect(placesLeft(stores, { Stores: 500 })).toBeNull();
    expect(headIn({}, 'constructor')).toBe(0);
  });

  it('warns five before, and holds and asks when full', () => {
    const reason = (head: number) => say({}, {}, { Fit: head })?.slice(3);
    const words = '41.6 kg: Fit, 40 to 45; sure after 0.8 s';
    expect(reason(54)).toEqual([words]);
    expect(reason(55)).toEqual([`${words}; 5 places left in Fit`, 'nearly-full']);
    expect(reason(59)).toEqual([`${words}; 1 place left in Fit`, 'nearly-full']);
    expect(say({}, {}, { Fit: 60 })).toEqual([
      'Fit',
      null,
      'overflow',
      `${words}; Fit is full: hold and ask`,
      'lot-full',
    ]);
    const { whenFull: _stop, ...silent } = fit;
    expect(_stop).toBe('stop');
    expect(say({ lots: [stores, silent, heavy] }, {}, { Fit: 60 })?.[2]).toBe('overflow');
  });

  it('passes on to the overflow, and from there on', () => {
    const spray = { mark: 'green' };
    const rest: Lot = { name: 'Rest', exit: 'left', aside: true, ...spray };
    const pen: Lot = {
      name: 'Pen',
      exit: 'far',
      aside: true,
      capacity: 9,
      whenFull: { overflow: 'Rest' },
    };
    const lots = [stores, { ...fit, whenFull: { overflow: 'Pen' } }, heavy, pen, rest];
    expect(say({ lots }, {}, { Fit: 60 })).toEqual([
      'Pen',
      'far',
      'overflow',
      '41.6 kg: Fit, 40 to 45; sure after 0.8 s; Fit is full: overflow to Pen',
    ]);
    expect(say({ lots }, {}, { Fit: 60, Pen: 8 })?.slice(3)).toEqual([
      '41.6 kg: Fit, 40 to 45; sure after 0.8 s; Fit is full: overflow to Pen; 1 place left in Pen',
      'nearly-full',
    ]);
    const over = decide({ ...draft, lots }, lamb, { Fit: 60, Pen: 9 });
    expect(over).toMatchObject({ lot: 'Rest', exit: 'left', rule: 'overflow', mark: 'green' });
    expect(over?.reason).toMatch(/; Fit is full, Pen is full: overflow to Rest$/);
    expect(decide({ ...draft, lots }, lamb, { Fit: 60 })).not.toHaveProperty('mark');
  });

  it('never overflows round in a circle, nowhere, or to slaughter unless the plan allows it', () => {
    const to = (name: string): Lot[] => [
      { ...stores, capacity: 1, whenFull: { overflow: 'Fit' } },
      { ...fit, whenFull: { overflow: name } },
      heavy,
    ];
    const full = { Fit: 60, Stores: 1 };
    for (const name of ['Stores', 'Fit', 'Gone', 'Heavy'])
      expect(say({ lots: to(name) }, {}, full)?.slice(0, 3)).toEqual(['Fit', null, 'overflow']);
    const allowed = { allowUnsureToSlaughter: true };
    expect(say({ lots: to('Heavy'), ...allowed }, {}, full)?.[0]).toBe('Heavy');
    const held = { held: true, list: null, lastKg: null, lastDays: null };
    expect(say({ lots: to('Heavy'), ...allowed }, { known: held }, { Stores: 1 })).toEqual([
      'Stores',
      null,
      'overflow',
      'still in withdrawal, free day not known: Stores; Stores is full: hold and ask',
      'lot-full',
    ]);
  });
});

describe('tags not read', () => {
  const run = (tags: (string | null)[], plan: Plan = draft, off = false) => {
    let now = noUnread;
    return tags.map((tag) => {
      const after = afterAnimal(plan, now, tag, off);
      now = after.run;
      return after.offer;
    });
  };

  it('three in a row offer to carry on without tags, once', () => {
    expect(run([null, null, null, null, null, null])).toEqual([
      false,
      false,
      true,
      false,
      false,
      false,
    ]);
    expect(run([null, null, '1', null, null, null])).toEqual([
      false,
      false,
      false,
      false,
      false,
      true,
    ]);
    expect(run([null, null, null, '1', null, null, null])).toEqual([
      ...[false, false, true],
      ...[false, false, false, false],
    ]);
  });

  it('offer nothing where no tag is asked for', () => {
    const plan = { ...draft };
    delete plan.tags;
    expect(run([null, null, null], plan)).toEqual([false, false, false]);
    expect(run([null, null, null], draft, true)).toEqual([false, false, false]);
    expect(afterAnimal(draft, { inRow: 2, offered: true }, null, true).run).toEqual({
      inRow: 0,
      offered: true,
    });
  });
});

describe('the plan of a session', () => {
  const given = {
    product: 'Drench',
    batch: '',
    givenDay: 100,
    days: 6,
    use: 'label' as const,
    tags: [],
    mob: 'Top field',
    colour: null,
  };

  it('carries what the medicine record says of its mob', () => {
    const top = { ...draft, mob: 'Top field' };
    expect(sessionPlan(top, [given], 106, OFF_LABEL, ['Top field'])).toEqual({
      ...top,
      medicine: { untaggedHeld: true, freeOn: '1970-04-18', colours: [] },
    });
    const held = (plan: Plan, day: number, mobs: string[]) =>
      sessionPlan(plan, [given], day, OFF_LABEL, mobs).medicine?.untaggedHeld;
    const mob = ['Top field'];
    expect([held(top, 106, mob), held(top, 107, mob)]).toEqual([true, false]);
    expect(held(draft, 106, ['Hill'])).toBe(false);
    // A session of no named mob may be of any.
    expect(held(draft, 106, [])).toBe(true);
  });
});
