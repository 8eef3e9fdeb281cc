import type { AnimalFacts, Plan } from './plan.ts';
import { hundredths, weightLots } from './words.ts';

/** A range of weight, kg: `from` belongs to it, `below` does not; null is open. */
interface Range {
  from: number | null;
  below: number | null;
}

/** The animal's weight in hundredths of a kg where it is good enough to be used, else null. */
export function usableWeight(animal: AnimalFacts): number | null {
  if (animal.basis === null || animal.kg === null || !Number.isFinite(animal.kg)) return null;
  return hundredths(animal.kg);
}

/**
 * Whether a weight lies in a range, with the leeway at its ends: a lot decided before is kept, and
 * another is not left, until the weight has passed the cut by more than `hysteresisKg`.
 */
export function within(
  plan: Plan,
  weight: number,
  range: Range,
  lot: string,
  previous: string | null,
) {
  const leeway = hundredths(plan.decide.hysteresisKg);
  const from = range.from === null ? null : hundredths(range.from);
  const below = range.below === null ? null : hundredths(range.below);
  if (previous === null)
    return (from === null || weight >= from) && (below === null || weight < below);
  if (previous === lot)
    return (
      (from === null || weight >= from - leeway) && (below === null || weight <= below + leeway)
    );
  return (from === null || weight > from + leeway) && (below === null || weight < below - leeway);
}

/** Whether a weight is of this mob: both ends belong to it; leeway applies once a lot was decided. */
export function ofThisMob(plan: Plan, weight: number, previous: string | null): boolean {
  const leeway = previous === null ? 0 : hundredths(plan.decide.hysteresisKg);
  return (
    weight >= hundredths(plan.animals.fromKg) - leeway &&
    weight <= hundredths(plan.animals.toKg) + leeway
  );
}

/**
 * Index of the lot by weight among `weightLots`: a weight exactly on a cut goes up, the previous lot
 * is kept while the weight is within the leeway of its cuts.
 */
export function weightLot(
  plan: Plan,
  weight: number,
  previous: string | null,
): { index: number; kept: boolean } {
  const lots = weightLots(plan);
  let index = 0;
  for (; index < lots.length - 1; index++) {
    const below = lots[index]?.belowKg;
    if (below === undefined || weight < hundredths(below)) break;
  }
  const before = lots.findIndex((lot) => lot.name === previous);
  if (previous === null || before === -1 || before === index) return { index, kept: false };
  const range = { from: lots[before - 1]?.belowKg ?? null, below: lots[before]?.belowKg ?? null };
  return within(plan, weight, range, previous, previous)
    ? { index: before, kept: true }
    : { index, kept: false };
}

/**
 * All weights at which the plan's answer changes, kg, ascending, each once: the cuts of the lots, the
 * weights named by mark rules, and both ends of the mob's range. Being sure of the lot means being
 * sure of the side of every one of them.
 */
export function cutsKg(plan: Plan): number[] {
  const cuts = [plan.animals.fromKg, plan.animals.toKg];
  if (plan.work === 'weigh-only') return cuts;
  for (const lot of weightLots(plan).slice(0, -1))
    if (lot.belowKg !== undefined) cuts.push(lot.belowKg);
  for (const rule of plan.marks?.rules ?? []) {
    if (rule.fromKg !== undefined) cuts.push(rule.fromKg);
    if (rule.belowKg !== undefined) cuts.push(rule.belowKg);
  }
  return [...new Set(cuts)].sort((a, b) => a - b);
}
