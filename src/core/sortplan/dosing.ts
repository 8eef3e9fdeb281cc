import type { Use } from './withdrawal.ts';

/** What every animal of a session is given as it passes. Label and vet decide; this only reckons. */
export interface Given {
  product: string;
  batch: string;
  /** Last day of use, `YYYY-MM-DD`; empty where nobody said. */
  expiry: string;
  mlPerKg: number;
  /** The steps that the gun can be set to, ml. */
  stepMl: number;
  /** Withdrawal for meat, whole days as the label or the vet says; null: unclear, held. */
  days: number | null;
  use: Use;
}

/** A dose that is shown changes only where the weight has gone on by more than this share of a step. */
const LEEWAY = 0.1;

/**
 * The dose for a weight, ml: weight times ml per kg, up to the next step of the gun. Too little breeds
 * worms that stand the product, so it is never rounded down (common practice, no source).
 *
 * @param shown the dose that the person is setting already, ml, or null; it stands while the weight
 *   asks for nearly the same.
 */
export function doseMl(given: Given, kg: number, shown: number | null): number {
  const steps = (kg * given.mlPerKg) / given.stepMl;
  if (shown !== null) {
    const set = shown / given.stepMl;
    if (steps <= set + LEEWAY && steps > set - 1 - LEEWAY) return shown;
  }
  // Thousandths of a ml, so that no product of binary fractions asks for a step too many.
  const whole = Math.ceil(Math.round(steps * 1000) / 1000);
  return Math.round(whole * given.stepMl * 1000) / 1000;
}
