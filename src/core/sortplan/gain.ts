import type { AnimalFacts, Plan } from './plan.ts';

/**
 * Standard uncertainty of one weight as a measure of growth, kg: gut fill and coat, far more than the
 * weigh head's own. Source: worked figures of the reference values (0.5 kg a weight gives 34 g/d over
 * 21 days, 51 over 14, 101 over 7).
 */
export const GAIN_WEIGHT_U_KG = 0.5;

/** Coverage factor for about 95 % (JCGM 100, 6.3.3; from memory). */
const COVERAGE = 2;

/** Daily liveweight gain in g/day with its standard uncertainty. */
export interface Gain {
  gramsPerDay: number;
  uGramsPerDay: number;
  days: number;
}

/**
 * Gain since the last weighing: (current - previous) / days.
 * @param kg weight now, kg
 * @param uKg its standard uncertainty, kg, or null
 * @returns null where no last weight or no whole day lies between
 */
export function gainSince(
  kg: number,
  uKg: number | null,
  lastKg: number | null,
  lastDays: number | null,
): Gain | null {
  if (lastKg === null || lastDays === null || !(lastDays > 0)) return null;
  const now = Math.max(GAIN_WEIGHT_U_KG, uKg ?? 0);
  const u = Math.sqrt(now * now + GAIN_WEIGHT_U_KG * GAIN_WEIGHT_U_KG);
  const gain = {
    gramsPerDay: ((kg - lastKg) / lastDays) * 1000,
    uGramsPerDay: (u / lastDays) * 1000,
    days: lastDays,
  };
  return Number.isFinite(gain.gramsPerDay) && Number.isFinite(gain.uGramsPerDay) ? gain : null;
}

/** What the gain says: a lot where a rule is surely met, and words to say either way. */
export interface GainSays {
  lot: string | null;
  words: string;
}

/**
 * Applies the plan's gain rules: a rule decides only where the gain is beyond its limit by more than
 * twice its standard uncertainty; a lot decided before is kept within the leeway at the cut.
 */
export function byGain(plan: Plan, animal: AnimalFacts, kg: number): GainSays | null {
  if (plan.gain === undefined || animal.known === null) return null;
  const gain = gainSince(kg, animal.uKg, animal.known.lastKg, animal.known.lastDays);
  if (gain === null) return null;
  if (gain.days < plan.gain.leastDays)
    return {
      lot: null,
      words: `last weighed ${String(gain.days)} days ago, too recent for a gain`,
    };
  const margin = COVERAGE * gain.uGramsPerDay;
  const leeway = (plan.decide.hysteresisKg / gain.days) * 1000;
  const rule = plan.gain.rules.find((one) => {
    const extra = animal.previousLot === one.lot ? -leeway : 0;
    const slow = one.belowGramsPerDay;
    const fast = one.fromGramsPerDay;
    return (
      (slow === undefined || gain.gramsPerDay + margin + extra < slow) &&
      (fast === undefined || gain.gramsPerDay - margin - extra >= fast)
    );
  });
  const words = `gain ${String(Math.round(gain.gramsPerDay))} g a day, give or take ${String(Math.round(margin))}, over ${String(gain.days)} days`;
  return { lot: rule?.lot ?? null, words };
}
