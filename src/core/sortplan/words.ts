import type { AnimalFacts, Lot, Plan } from './plan.ts';

/** Weight in hundredths of a kg, the whole number that cuts are compared in. */
export function hundredths(kg: number): number {
  return Math.round(kg * 100);
}

/** A weight for people: at most two decimals, no trailing zeros, e.g. `41.6`. */
export function kgWords(kg: number): string {
  return String(hundredths(kg) / 100);
}

/** Time for people, in tenths of a second, e.g. `0.8 s`. */
export function secondsWords(ms: number): string {
  return `${(Math.round(ms / 100) / 10).toString()} s`;
}

/** The lots that weight decides between, from light to heavy. */
export function weightLots(plan: Plan): Lot[] {
  return plan.lots.filter((lot) => lot.aside !== true);
}

/** The band of a lot for people: `below 40`, `40 to 45`, `from 45`, or `any weight`. */
export function bandWords(plan: Plan, index: number): string {
  const lots = weightLots(plan);
  const from = lots[index - 1]?.belowKg;
  const below = lots[index]?.belowKg;
  if (from === undefined) return below === undefined ? 'any weight' : `below ${kgWords(below)}`;
  return below === undefined ? `from ${kgWords(from)}` : `${kgWords(from)} to ${kgWords(below)}`;
}

/** How and when the weight was good enough: `sure after 0.8 s`. */
export function basisWords(animal: AnimalFacts): string {
  return `${animal.basis ?? 'not sure'} after ${secondsWords(animal.afterMs)}`;
}
