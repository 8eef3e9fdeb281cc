import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { decide } from '../../../src/core/sortplan/decide.ts';
import { refusal } from '../../../src/core/sortplan/held.ts';
import type { AnimalFacts, Plan } from '../../../src/core/sortplan/plan.ts';
import { OFF_LABEL, mobMedicine, standing } from '../../../src/core/sortplan/withdrawal.ts';
import type { Treatment } from '../../../src/core/sortplan/withdrawal.ts';
import { Dice, EXITS, anyAnimal, anyCounts, anyDice, anyPlan, soundPlan } from './random.ts';
import { draft, lamb } from './plans.ts';

function kills(plan: Plan, exit: string | null): boolean {
  return plan.lots.some((lot) => lot.exit === exit && lot.forSlaughter === true);
}

function isHeld(plan: Plan, animal: AnimalFacts): boolean {
  const { known, marks } = animal;
  const open = plan.medicine?.colours ?? [];
  const coloured = marks.some(
    (mark) => mark.name === 'colour' && open.some((one) => one.colour === mark.value),
  );
  const untagged = known === null && plan.medicine?.untaggedHeld === true;
  return coloured || untagged || (known !== null && known.held !== false);
}

describe('an animal in withdrawal, or possibly so', () => {
  it('never gets an exit to slaughter, whatever the plan and the taps', () => {
    let seen = 0;
    fc.assert(
      fc.property(anyDice, (dice) => {
        const plan = anyPlan(dice);
        const animal = anyAnimal(dice);
        if (!isHeld(plan, animal)) return;
        seen++;
        const exit = decide(plan, animal, anyCounts(dice))?.exit ?? null;
        expect(kills(plan, exit)).toBe(false);
        if (plan.work === 'weigh-only' || plan.work === 'count-only') expect(exit).toBeNull();
        for (const named of EXITS) {
          const by = decide(plan, { ...animal, byHand: named }, anyCounts(dice));
          expect(kills(plan, by?.exit ?? null)).toBe(false);
          if (kills(plan, named)) expect(refusal(plan, animal, named)).not.toBeNull();
        }
      }),
      { numRuns: 6000 },
    );
    expect(seen).toBeGreaterThan(1000);
  });

  /** What can happen while an animal stands on the crate. */
  const happening = fc.oneof(
    fc.record({ byHand: fc.constantFrom(...EXITS) }),
    fc.record({ kg: fc.integer({ min: 1000, max: 7000 }).map((cents) => cents / 100) }),
    fc.record({ basis: fc.constantFrom('settled' as const, 'sure' as const, null) }),
    fc.record({ unsure: fc.constantFrom(null, 'two animals') }),
    fc.record({ tagsOff: fc.constant(true) }),
    fc.record({ afterMs: fc.integer({ min: 0, max: 8000 }) }),
    fc.record({ read: fc.constant(true) }),
    fc.record({
      mark: fc.record({
        name: fc.constantFrom('keep', 'colour', 'condition'),
        value: fc.constantFrom(true, 'blue', 'none', 3),
      }),
    }),
  );

  it('never gets one in any order of events, with the tag read late or never', () => {
    fc.assert(
      fc.property(
        anyDice,
        fc.array(happening, { minLength: 1, maxLength: 20 }),
        fc.boolean(),
        fc.constantFrom(true, null),
        (dice, events, mobTreated, held) => {
          const sound = soundPlan(dice);
          if (sound?.tags === undefined) return;
          // The medicine record: this tag is held, and the mob's untagged with it.
          const medicine = { untaggedHeld: true, freeOn: null, colours: [] };
          const plan: Plan = { ...sound, ...(mobTreated ? { medicine } : {}) };
          let animal: AnimalFacts = { ...lamb, tag: null, known: null, basis: null, afterMs: 0 };
          for (const event of events) {
            if ('read' in event)
              animal = {
                ...animal,
                tag: lamb.tag,
                known: { held, list: 'keep.csv', lastKg: null, lastDays: null },
              };
            else if ('mark' in event) animal = { ...animal, marks: [...animal.marks, event.mark] };
            else animal = { ...animal, ...event };
            const decision = decide(plan, animal, anyCounts(dice));
            // Where nothing is known of the mob, a tag that is read in time is still waited for.
            const late =
              animal.tag === null &&
              (animal.tagsOff === true || animal.afterMs >= plan.decide.callAfterMs);
            if (mobTreated || !late) expect(kills(plan, decision?.exit ?? null)).toBe(false);
            if (decision !== null && decision.lot !== null)
              animal = { ...animal, previousLot: decision.lot };
          }
        },
      ),
      { numRuns: 4000 },
    );
  });

  it('is found by the medicine record whatever it was given to', () => {
    const mob = 'Top field';
    const kill = 20_000;
    const tag = lamb.tag ?? '';
    const given = fc.record({
      product: fc.constant('Drench'),
      batch: fc.constant(''),
      givenDay: fc.integer({ min: kill - 40, max: kill + 3 }),
      days: fc.option(fc.integer({ min: 0, max: 40 })),
      use: fc.constantFrom('label' as const, 'off-label' as const, 'not-for-food' as const),
      to: fc.constantFrom('tag', 'mob', 'colour'),
    });
    fc.assert(
      fc.property(fc.array(given, { minLength: 1, maxLength: 4 }), fc.boolean(), (all, read) => {
        const treatments = all.map(({ to, ...one }): Treatment => {
          const colour = to === 'colour' ? 'blue' : null;
          return { ...one, mob, colour, tags: to === 'tag' ? [tag] : [] };
        });
        // The last day of the longest period, counted by hand.
        const open = treatments.some((one) => {
          if (one.days === null || one.givenDay > kill) return true;
          const longer = Math.ceil(one.days * 1.5);
          const days =
            one.use === 'label' ? one.days : Math.max(longer, one.use === 'off-label' ? 1 : 28);
          return days > 0 && kill <= one.givenDay + days;
        });
        const medicine = mobMedicine(treatments, [mob], kill, OFF_LABEL);
        const { held } = standing(treatments, { tag, mobs: [mob] }, kill, OFF_LABEL);
        const known = { held, list: null, lastKg: null, lastDays: null };
        const animal = read
          ? { ...lamb, known }
          : { ...lamb, tag: null, known: null, tagsOff: true };
        const decision = decide({ ...draft, medicine }, { ...animal, byHand: 'right' }, {});
        expect(decision?.exit).toBe(open ? 'left' : 'right');
      }),
      { numRuns: 3000 },
    );
  });
});

describe('an animal that is not sure or unread', () => {
  it('never gets an exit to slaughter by the plan alone, unless the plan allows it', () => {
    fc.assert(
      fc.property(anyDice, (dice) => {
        const plan = anyPlan(dice);
        delete plan.allowUnsureToSlaughter;
        const drawn = anyAnimal(dice);
        const animal = { ...drawn, byHand: null, basis: null, unsure: 'leaning' };
        expect(kills(plan, decide(plan, animal, anyCounts(dice))?.exit ?? null)).toBe(false);
        const unread = {
          ...drawn,
          byHand: null,
          tag: null,
          known: null,
          tagsOff: false,
          marks: [],
        };
        const decision = decide(plan, unread, anyCounts(dice));
        if (plan.tags !== undefined && plan.marks === undefined)
          expect(kills(plan, decision?.exit ?? null)).toBe(false);
      }),
      { numRuns: 6000 },
    );
  });
});

/** Weights, every 0.15 kg and around every cut, that lie in not one band or are not sent to theirs. */
function weightsWithoutOneAnswer(plan: Plan): number[] {
  const { fromKg, toKg } = plan.animals;
  const lots = plan.lots.filter((lot) => lot.aside !== true);
  const edges = [fromKg, toKg, ...lots.map((lot) => lot.belowKg ?? toKg)].map((kg) => kg * 100);
  const weights = edges.flatMap((cents) => [cents - 1, cents, cents + 1]);
  for (let cents = fromKg * 100 - 60; cents <= toKg * 100 + 60; cents += 15) weights.push(cents);
  return weights
    .map((cents) => Math.round(cents) / 100)
    .filter((kg) => {
      const inMob = kg >= fromKg && kg <= toKg;
      const bands = lots.filter((lot, index) => {
        return inMob && kg >= (lots[index - 1]?.belowKg ?? 0) && kg < (lot.belowKg ?? Infinity);
      });
      const decision = decide(plan, { ...lamb, kg, tagsOff: true }, {});
      if (!inMob) return decision?.flags.includes('not-of-this-mob') !== true;
      const names = bands.flatMap((lot) => [lot.name, ...(lot.splitWith ?? [])]);
      return bands.length !== 1 || !names.includes(decision?.lot ?? '');
    });
}

describe('for every plan that the checker accepts', () => {
  it('each weight has exactly one answer', () => {
    let plans = 0;
    fc.assert(
      fc.property(anyDice, (dice) => {
        const plan = soundPlan(dice) ?? draft;
        if (plan.work !== undefined && plan.work !== 'weigh-and-sort') return;
        delete plan.marks;
        delete plan.gain;
        delete plan.medicine;
        plans++;
        expect(weightsWithoutOneAnswer(plan)).toEqual([]);
      }),
      { numRuns: 400 },
    );
    expect(plans).toBeGreaterThan(50);
  });
});

describe('dice', () => {
  it('draw plans of which the checker accepts most', () => {
    const dice = (seed: number) => new Dice((index) => Math.imul(seed + 1, 31 * index + 7) >>> 3);
    const drawn = Array.from({ length: 200 }, (_, seed) => soundPlan(dice(seed)));
    expect(drawn.filter((plan) => plan !== null).length).toBeGreaterThan(100);
  });
});
