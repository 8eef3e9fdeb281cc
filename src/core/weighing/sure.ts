import { normalInverse } from '../normal.ts';
import type { Estimate } from './result.ts';

/**
 * Least dwell: no estimate on fewer readings than this decides, ms. A decision younger than that is
 * changed so often that it moves the gate for nothing more than it saves time.
 */
const LEAST_DWELL_MS = 500;

/** A probability above this that more is to come on forbids a decision below a cut. */
const MOST_TO_COME = 0.04;
/** The last foot adds at most this share; a cut farther up does not wait for it. */
const LAST_FOOT = 0.45;

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
  const patience = Math.min(1, Math.max(0, (estimate.spanMs - 400) / 700));
  const needed = normalInverse(confidence) * estimate.uKg - leewayKg * patience;
  // The longer it lasts the less it is worth waiting: a later rise still overturns the decision.
  const allowed = MOST_TO_COME + 0.1 * Math.max(0, estimate.spanMs / 1000 - 1.5);
  const { half, foot } = estimate.toCome;
  return cutsKg.every((cut) => {
    if (Math.abs(estimate.kg - cut) < needed) return false;
    const reached = cut > (1 + LAST_FOOT) * estimate.kg ? half : half + foot;
    return cut < estimate.kg || reached <= Math.min(0.5, allowed);
  });
}
