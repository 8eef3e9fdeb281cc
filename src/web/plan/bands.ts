/** Weights in the bands of a plan, for the histogram. Pure. */
import type { Lot, Plan } from '../../core/sortplan/plan.ts';

/** A cut between two bands; `lot` is the place in the plan's lots of the lighter one. */
export interface Cut {
  lot: number;
  kg: number;
  lighter: string;
  heavier: string;
}

export function bandLots(plan: Plan): { lot: Lot; at: number }[] {
  return plan.lots.map((lot, at) => ({ lot, at })).filter(({ lot }) => lot.aside !== true);
}

export function cutsOf(plan: Plan): Cut[] {
  const bands = bandLots(plan);
  return bands.flatMap(({ lot, at }, place) => {
    const next = bands[place + 1]?.lot;
    if (lot.belowKg === undefined || next === undefined) return [];
    return [{ lot: at, kg: lot.belowKg, lighter: lot.name, heavier: next.name }];
  });
}

/** Head in each band, in the order of `bandLots`; a weight exactly on a cut goes up. */
export function headIn(plan: Plan, weights: readonly number[]): number[] {
  const bands = bandLots(plan);
  const head = bands.map(() => 0);
  for (const kg of weights) {
    if (kg < plan.animals.fromKg || kg > plan.animals.toKg) continue;
    const found = bands.findIndex(({ lot }) => lot.belowKg === undefined || kg < lot.belowKg);
    const at = found < 0 ? bands.length - 1 : found;
    head[at] = (head[at] ?? 0) + 1;
  }
  return head;
}

/** Head in each whole kilogram from the lightest to the heaviest. */
export function classes(weights: readonly number[]): { fromKg: number; head: number }[] {
  if (weights.length === 0) return [];
  const least = Math.floor(Math.min(...weights));
  const most = Math.floor(Math.max(...weights));
  const head = Array.from({ length: most - least + 1 }, (_, at) => ({
    fromKg: least + at,
    head: 0,
  }));
  for (const kg of weights) {
    const one = head[Math.floor(kg) - least];
    if (one !== undefined) one.head += 1;
  }
  return head;
}

/** The plan with a lot and the one before it in each other's place; the cuts stay where they are. */
export function movedUp(plan: Plan, at: number): Plan {
  const [lot, before] = [plan.lots[at], plan.lots[at - 1]];
  if (lot === undefined || before === undefined) return plan;
  const bands = lot.aside !== true && before.aside !== true;
  const put = (one: Lot, cut: Lot): Lot => {
    const { belowKg: own, ...others } = one;
    const belowKg = bands ? cut.belowKg : own;
    return belowKg === undefined ? others : { ...others, belowKg };
  };
  const lots = [...plan.lots];
  lots.splice(at - 1, 2, put(lot, before), put(before, lot));
  return { ...plan, lots };
}

/** Keys whose value is a lot's name: of rules and ways, of overflow, of an even split. */
const NAMES_LOT = ['lot', 'overflow', 'splitWith'];

/**
 * The plan with one lot renamed; whatever led to the old name leads to the new one. Where two lots have
 * the same name nothing follows: it would not be known whose way it was.
 */
export function renamed(plan: Plan, at: number, name: string): Plan {
  const was = plan.lots[at]?.name;
  const lots = plan.lots.map((lot, place) => (place === at ? { ...lot, name } : lot));
  const others = plan.lots.filter((_, place) => place !== at);
  if (others.some((lot) => lot.name === was || lot.name === name)) return { ...plan, lots };
  const follow = (value: unknown, names: boolean): unknown => {
    if (Array.isArray(value)) return value.map((one) => follow(one, names));
    if (typeof value !== 'object' || value === null) return names && value === was ? name : value;
    const entries = Object.entries(value);
    return Object.fromEntries(
      entries.map(([key, one]) => [key, follow(one, NAMES_LOT.includes(key))]),
    );
  };
  return follow({ ...plan, lots }, false) as Plan;
}

/** The plan with one cut moved, kept between its neighbours; steps of 0.1 kg. */
export function withCut(plan: Plan, lot: number, kg: number): Plan {
  const cuts = cutsOf(plan);
  const place = cuts.findIndex((cut) => cut.lot === lot);
  const least = (cuts[place - 1]?.kg ?? plan.animals.fromKg) + 0.1;
  const most = (cuts[place + 1]?.kg ?? plan.animals.toKg) - 0.1;
  const rounded = Math.round(Math.min(most, Math.max(least, kg)) * 10) / 10;
  return {
    ...plan,
    lots: plan.lots.map((one, at) => (at === lot ? { ...one, belowKg: rounded } : one)),
  };
}
