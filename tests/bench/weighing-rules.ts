/** The rules that the bench compares, each run over the readings of one flock, and their figures. */
import type { WeighingConfig } from '../../src/core/weighing/result.ts';
import { isSure } from '../../src/core/weighing/sure.ts';
import { initial, weigh } from '../../src/core/weighing/weighing.ts';
import type { Readings } from './second-generator.ts';

export const CUTS = [36, 44];
export const HYSTERESIS_KG = 0.3;

/** What came of one animal. */
export interface Outcome {
  trueKg: number;
  /** Last change of the decision after fully on, s; null where undecided when let go. */
  decidedS: number | null;
  lot: number | null;
  revisions: number;
  /** No decision, or something looks wrong, when the operator is called: not sure. */
  called: boolean;
  /** Weight and half-width of its 95 % interval when let go. */
  kg: number | null;
  u95Kg: number | null;
}

/** The operator is called for an animal that is not decided this long after it came on, ms. */
const CALL_AFTER_MS = 5000;

export function lotOf(kg: number): number {
  return CUTS.filter((cut) => kg >= cut).length;
}

export function configFor(divisionKg: number, rateHz: number): WeighingConfig {
  const settle = { withinKg: 0.5, forMs: 1000 };
  return {
    divisionKg,
    rateHz,
    maxKg: 200,
    loadingKg: 8,
    emptyKg: 5,
    staleMs: 1500,
    clamp: false,
    settle,
  };
}

/** The lot after one more look: the decision changes only past the cut by more than the leeway. */
function lotAfter(lot: number | null, kg: number): number {
  const now = lotOf(kg);
  if (lot === null || now === lot) return now;
  const past = now > lot ? kg - HYSTERESIS_KG : kg + HYSTERESIS_KG;
  return lotOf(past) === lot ? lot : now;
}

const CONTACTS = { frontShut: true, frontProvedShut: false, weightCounts: true };

/** Our rule over a flock: one state from the first animal to the last. */
export function runOurs(
  flock: readonly Readings[],
  config: WeighingConfig,
  confidence: number,
): Outcome[] {
  let state = initial(config);
  let origin = 0;
  return flock.map((animal) => {
    const outcome: Outcome = {
      trueKg: animal.trueKg,
      decidedS: null,
      lot: null,
      revisions: -1,
      called: false,
      kg: null,
      u95Kg: null,
    };
    for (const reading of animal.readings) {
      const step = weigh(config, state, { ...reading, t: reading.t + origin }, CONTACTS);
      state = step.state;
      const { estimate, oddities, zeroKnown, enteredAt } = step.result;
      const on = enteredAt === null ? 0 : reading.t + origin - enteredAt;
      if (on >= CALL_AFTER_MS && on < CALL_AFTER_MS + 1000 / config.rateHz) {
        outcome.called = outcome.lot === null || oddities.length > 0;
      }
      if (estimate === null || step.result.occupancy !== 'loaded') continue;
      outcome.kg = estimate.kg;
      outcome.u95Kg = estimate.u95Kg;
      if (!zeroKnown || oddities.length > 0) continue;
      if (!estimate.settled && !isSure(estimate, CUTS, confidence, HYSTERESIS_KG)) continue;
      const lot = lotAfter(outcome.lot, estimate.kg);
      if (lot === outcome.lot) continue;
      outcome.lot = lot;
      outcome.decidedS = (reading.t - animal.fullyOnAt) / 1000;
      outcome.revisions += 1;
    }
    origin += (animal.readings.at(-1)?.t ?? 0) + 600;
    return outcome;
  });
}

export type Plain = (readings: Readings['readings']) => number | null;

/** Index of the reading at which a plain rule decides: all of the last second within a band. */
export function settleRule(bandKg: number, forMs: number): Plain {
  return (readings) => {
    let first = 0;
    for (let i = 0; i < readings.length; i += 1) {
      const now = readings[i];
      if (now === undefined || now.kg < 8) continue;
      while ((readings[first]?.t ?? now.t) < now.t - forMs) first += 1;
      const since = readings.slice(first, i + 1);
      const weights = since.map((r) => r.kg);
      const long = now.t - (since[0]?.t ?? now.t) >= forMs * 0.95;
      if (long && Math.max(...weights) - Math.min(...weights) <= bandKg + 1e-9) return i;
    }
    return null;
  };
}

export const fixedRule: Plain = (readings) => {
  const on = readings.find((r) => r.kg > 8);
  const i = readings.findIndex((r) => on !== undefined && r.t >= on.t + 3000);
  return i < 0 ? null : i;
};

export const flagRule: Plain = (readings) => {
  const i = readings.findIndex((r) => r.kg > 8 && !r.motion);
  return i < 0 ? null : i;
};

/** A plain rule over a flock: it takes the mean of the last half second and never looks again. */
export function runPlain(flock: readonly Readings[], rule: Plain): Outcome[] {
  return flock.map((animal) => {
    const i = rule(animal.readings);
    const at = i === null ? undefined : animal.readings[i];
    if (at === undefined) {
      return {
        trueKg: animal.trueKg,
        decidedS: null,
        lot: null,
        revisions: 0,
        called: true,
        kg: null,
        u95Kg: null,
      };
    }
    const kg = at.kg;
    const decidedS = (at.t - animal.fullyOnAt) / 1000;
    const called = at.t - animal.onAt > CALL_AFTER_MS;
    const lot = lotOf(kg);
    return { trueKg: animal.trueKg, decidedS, lot, revisions: 0, called, kg, u95Kg: null };
  });
}

export interface Figures {
  n: number;
  median: number;
  ninety: number;
  undecided: number;
  called: number;
  wrongFar: number;
  wrongNear: number;
  changed: number;
  rmse: number;
  bias: number;
  coverage: number;
}

function quantile(sorted: readonly number[], p: number): number {
  return sorted[Math.min(sorted.length - 1, Math.floor(p * sorted.length))] ?? NaN;
}

export function figuresOf(outcomes: readonly Outcome[]): Figures {
  const n = outcomes.length;
  const decided = outcomes.filter((o) => o.decidedS !== null);
  const times = decided.map((o) => o.decidedS ?? 0).sort((a, b) => a - b);
  const wrong = decided.filter((o) => o.lot !== lotOf(o.trueKg));
  const far = wrong.filter((o) => CUTS.every((cut) => Math.abs(o.trueKg - cut) > 0.5));
  const weighed = outcomes.filter((o) => o.kg !== null);
  const errors = weighed.map((o) => (o.kg ?? 0) - o.trueKg);
  const covered = weighed.filter((o) => Math.abs((o.kg ?? 0) - o.trueKg) <= (o.u95Kg ?? 0));
  const mean = (values: readonly number[]): number =>
    values.reduce((a, b) => a + b, 0) / values.length;
  return {
    n,
    median: quantile(times, 0.5),
    ninety: quantile(times, 0.9),
    undecided: (n - decided.length) / n,
    called: outcomes.filter((o) => o.called).length / n,
    wrongFar: far.length,
    wrongNear: wrong.length - far.length,
    changed: outcomes.filter((o) => o.revisions > 0).length / n,
    rmse: Math.sqrt(mean(errors.map((e) => e * e))),
    bias: mean(errors),
    coverage: covered.length / weighed.length,
  };
}
