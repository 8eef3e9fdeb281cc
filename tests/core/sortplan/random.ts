import fc from 'fast-check';
import { planProblems } from '../../../src/config/plan-problems.ts';
import type { AnimalFacts, Counts, Lot, Plan, Way } from '../../../src/core/sortplan/plan.ts';
import { mended } from './mended.ts';

export const EXITS = ['left', 'ahead', 'right', 'far'];
export const NAMES = ['Stores', 'Fit', 'Heavy', 'Keep', 'Spare'];
const COLOURS = ['blue', 'green', 'white'];

/**
 * Choices read one by one from a list of whole numbers: far quicker to draw than nested arbitraries,
 * and a failing list still shrinks, as 0 is the simplest choice everywhere.
 */
export class Dice {
  readonly #number: (index: number) => number;
  #next = 0;

  constructor(number: (index: number) => number) {
    this.#number = number;
  }

  /** A whole number from 0 to `most`. */
  upTo(most: number): number {
    return this.#number(this.#next++) % (most + 1);
  }

  pick<T>(values: readonly T[]): T {
    return values[this.upTo(values.length - 1)] as T;
  }

  /** `{ key: value }` in one of so many cases, else nothing. */
  maybe<K extends string, T>(key: K, cases: number, value: () => T): { [P in K]?: T } {
    if (this.upTo(cases - 1) !== cases - 1) return {};
    return { [key]: value() } as { [P in K]?: T };
  }

  /** A weight, often exactly on a half kilogram, where the cuts are too. */
  kg(): number {
    return this.upTo(1) === 0 ? (76 + this.upTo(48)) / 2 : (1000 + this.upTo(5800)) / 100;
  }
}

/** Dice that shrink. */
export const anyDice = fc
  .array(fc.nat(), { minLength: 128, maxLength: 128, size: 'max' })
  .map((numbers) => new Dice((index) => numbers[index % 128] ?? 0));

/** Dice of a seed (a mixed counter): for a hundred thousand runs in seconds. */
export function seededDice(seed: number): Dice {
  return new Dice((index) => {
    let mixed = Math.imul(seed ^ Math.imul(index + 1, 0x9e3779b1), 0x85ebca6b);
    mixed = Math.imul(mixed ^ (mixed >>> 13), 0xc2b2ae35);
    return (mixed ^ (mixed >>> 16)) >>> 0;
  });
}

function anyWay(dice: Dice): Way {
  const kind = dice.pick(['hold', 'exit', 'lot']);
  if (kind === 'hold') return kind;
  return kind === 'exit' ? { exit: dice.pick(EXITS) } : { lot: dice.pick(NAMES) };
}

function anyLot(dice: Dice, name: string): Lot {
  return {
    name,
    exit: dice.pick(EXITS),
    ...dice.maybe('belowKg', 2, () => (76 + dice.upTo(48)) / 2),
    ...dice.maybe('forSlaughter', 2, () => dice.upTo(3) > 0),
    ...dice.maybe('capacity', 2, () => 1 + dice.upTo(7)),
    ...dice.maybe('whenFull', 2, () =>
      dice.upTo(2) === 0 ? 'stop' : { overflow: dice.pick(NAMES) },
    ),
    ...dice.maybe('aside', 3, () => true),
    ...dice.maybe('splitWith', 4, () => NAMES.slice(dice.upTo(3)).slice(0, 2)),
    ...dice.maybe('mark', 4, () => 'red'),
  };
}

function anyGain(dice: Dice): NonNullable<Plan['gain']> {
  const rule = () => ({
    ...dice.maybe('belowGramsPerDay', 2, () => dice.upTo(300)),
    ...dice.maybe('fromGramsPerDay', 2, () => dice.upTo(300) - 100),
    lot: dice.pick(NAMES),
  });
  return { leastDays: dice.pick([1, 7]), rules: [rule(), rule()] };
}

const CONDITIONS = [
  { mark: 'condition', from: 3 },
  { mark: 'condition', from: 2, to: 3.5 },
  { mark: 'condition', to: 2 },
  { mark: 'sex', is: 'female' },
  { mark: 'lame' },
  { mark: 'keep', is: false },
  { mark: 'rearing', is: 'twin' },
];

function anyMarks(dice: Dice): NonNullable<Plan['marks']> {
  const rule = () => ({
    when: [dice.pick(CONDITIONS), dice.pick(CONDITIONS)].slice(dice.upTo(1)),
    ...dice.maybe('fromKg', 2, () => dice.kg()),
    ...dice.maybe('belowKg', 2, () => dice.kg()),
    lot: dice.pick(NAMES),
  });
  return { offer: [], rules: [rule(), rule()] };
}

/** Any plan of the grammar, sound or not. */
export function anyPlan(dice: Dice): Plan {
  const lots = dice.pick([2, 3, 4, 5, 3, 4, 5, 2, 3, 4, 5, 1]);
  return {
    name: 'Random',
    ...dice.maybe('work', 3, () =>
      dice.pick(['weigh-and-sort', 'sort-only', 'weigh-only', 'count-only'] as const),
    ),
    animals: { fromKg: dice.pick([12, 37, 40.5]), toKg: dice.pick([65, 61.5, 55]) },
    lots: NAMES.slice(0, lots).map((name) => anyLot(dice, name)),
    decide: {
      hysteresisKg: dice.pick([0.3, 0, 0.01, 0.1, 0.5]),
      confidence: 0.995,
      callAfterMs: dice.pick([5000, 500]),
    },
    unsure: anyWay(dice),
    ...dice.maybe('tags', 2, () => ({
      lists: [
        { file: 'keep.csv', lot: dice.pick(NAMES) },
        { file: 'cull.csv', lot: dice.pick(NAMES) },
      ],
      withdrawal: dice.upTo(1) === 0 ? { lot: dice.pick(NAMES) } : { exit: dice.pick(EXITS) },
      unread: anyWay(dice),
    })),
    ...dice.maybe('gain', 3, () => anyGain(dice)),
    ...dice.maybe('marks', 3, () => anyMarks(dice)),
    ...dice.maybe('allowUnsureToSlaughter', 3, () => dice.upTo(2) > 0),
    ...dice.maybe('medicine', 3, () => ({
      untaggedHeld: dice.upTo(1) === 1,
      freeOn: dice.pick([null, '2026-09-20']),
      colours: COLOURS.slice(dice.upTo(2), 2).map((colour) => ({ colour, freeOn: null })),
    })),
  };
}

/** A plan that the checker accepts, or null in the few cases that mending did not help. */
export function soundPlan(dice: Dice): Plan | null {
  const plan = mended(anyPlan(dice));
  return planProblems(plan, EXITS).length === 0 ? plan : null;
}

/** Any animal at any moment. */
export function anyAnimal(dice: Dice): AnimalFacts {
  const mark = () =>
    dice.pick([
      { name: 'condition', value: dice.pick([3, 1, 2, 3.5, 4]) },
      { name: 'sex', value: dice.pick(['female', 'male']) },
      { name: dice.pick(['lame', 'keep']), value: dice.upTo(2) > 0 },
      { name: 'rearing', value: 'twin' },
      { name: 'colour', value: dice.pick(COLOURS) },
    ]);
  const tag = dice.pick(['999000000000001', '999000000000002', null]);
  const known = {
    held: dice.pick([false, false, false, false, true, null]),
    list: dice.pick([null, null, null, 'keep.csv', 'cull', 'other.csv']),
    lastKg: dice.upTo(3) === 3 ? null : dice.kg(),
    lastDays: dice.pick([21, 60, 7, 3, 0, null]),
  };
  return {
    kg: dice.upTo(19) === 19 ? null : dice.kg(),
    uKg: dice.pick([0.05, 0.6, null]),
    basis: dice.pick(['sure', 'settled', 'sure', null]),
    unsure: dice.pick([null, null, null, 'nobody knows']),
    tag,
    known: tag === null || dice.upTo(5) === 5 ? null : known,
    byHand: dice.upTo(5) === 5 ? dice.pick(EXITS) : null,
    marks: [mark(), mark(), mark()].slice(dice.upTo(3)),
    afterMs: dice.pick([5000, 800, 4999, 6000, 0]),
    previousLot: dice.upTo(1) === 0 ? null : dice.pick(NAMES),
    ...dice.maybe('tagsOff', 4, () => true),
  };
}

export function anyCounts(dice: Dice): Counts {
  return Object.fromEntries(NAMES.slice(dice.upTo(4)).map((name) => [name, dice.upTo(8)]));
}
