import { normalInverse } from '../normal.ts';
import type { Estimate } from './result.ts';

/** Least dwell: no estimate on fewer readings than this decides, ms. */
export const LEAST_DWELL_MS = 250;

/** A probability above this that more is to come on forbids a decision below a cut. */
const MOST_PARTIAL = 0.03;
/** The whole animal weighs at most this many times what one front foot carries. */
const MOST_TO_COME = 4;

/**
 * Whether the weight is known to lie on one side of every cut.
 *
 * The probability of conformity of JCGM 106 (7.3) against each cut, with an uncertainty (`uKg`)
 * that is already widened for looking again at every reading.
 * @param estimate the weighing's estimate.
 * @param cutsKg every weight at which the outcome changes (lots and the plan's range).
 * @param confidence of the plan, 0.5 to below 1.
 * @param leewayKg leeway at the cut (the plan's `hysteresisKg`): a weight this near to a cut may go
 * to either side, so it need not be waited for. It is granted little by little.
 */
export function isSure(
  estimate: Estimate,
  cutsKg: readonly number[],
  confidence: number,
  leewayKg = 0,
): boolean {
  if (estimate.spanMs < LEAST_DWELL_MS) return false;
  const patience = Math.min(1, Math.max(0, (estimate.spanMs - 600) / 900));
  const needed = normalInverse(confidence) * estimate.uKg - leewayKg * patience;
  const seconds = estimate.spanMs / 1000;
  const whole = estimate.partial <= Math.min(0.5, MOST_PARTIAL + 0.1 * Math.max(0, seconds - 1.5));
  return cutsKg.every(
    (cut) =>
      Math.abs(estimate.kg - cut) >= needed &&
      (whole || cut < estimate.kg || cut > MOST_TO_COME * estimate.kg),
  );
}
