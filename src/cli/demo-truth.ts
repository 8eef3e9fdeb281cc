import type { Plan } from '../core/sortplan/plan.ts';

/** Where an animal of this true weight belongs by the weight bands alone. */
export function decideByWeight(
  plan: Plan,
  kg: number,
): { lot: string; exit: string; toCutKg: number } {
  const bands = plan.lots.filter((lot) => lot.aside !== true);
  const lot = bands.find((one) => one.belowKg === undefined || kg < one.belowKg) ?? bands.at(-1);
  const cuts = bands.flatMap((one) => (one.belowKg === undefined ? [] : [one.belowKg]));
  const toCutKg = Math.min(...cuts.map((cut) => Math.abs(kg - cut)));
  return { lot: lot?.name ?? '', exit: lot?.exit ?? '', toCutKg };
}
