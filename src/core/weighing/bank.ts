/**
 * The estimator: a bank of models of how a live load moves, each run as a Kalman filter, mixed by
 * how well each foretold the readings (docs/weighing.md derives it).
 *
 * A reading is the weight plus the change of the body's momentum over the block: e = x(k) - x(k-1)
 * with x stationary, because the velocity of a body that stays on the platform is bounded. Each
 * model says how x runs: without memory, fading, or swinging at some frequency. Every model also
 * carries a transient that dies away (the last of the step on, the head's filter). The size of the
 * movement is unknown and common to the model, so it is integrated out: the answer is Student's t.
 */
import { exp, ln } from '../normal.ts';
import { modelsFor } from './models.ts';
import type { Model } from './models.ts';

/** Numbers kept a model: filter of the readings, of the constant 1, covariance, sums. */
const STRIDE = 16;

/** The bank's state: `count` blocks taken; `sums` flat, STRIDE numbers a model. */
export interface Bank {
  /** Readings are taken relative to this, kg, so that sums of squares keep their digits. */
  originKg: number;
  count: number;
  sums: number[];
}

/** What the bank says of the weight: mean and scale of a Student's t distribution. */
export interface Posterior {
  kg: number;
  /** Scale, kg (standard deviation if the scatter were known). */
  scaleKg: number;
  /** Degrees of freedom. */
  degrees: number;
  /** Scatter of a block about the weight, kg. */
  scatterKg: number;
  /** Logarithm of the probability density of the blocks so far, the weight's own prior 1 a kg. */
  evidence: number;
}

/** Blocks lost in a row beyond which nothing is remembered of the movement anyway. */
const MOST_GAP = 20;

/** A bank that has seen no reading. */
export function emptyBank(blockSeconds: number, originKg: number): Bank {
  const sums: number[] = [];
  for (const m of modelsFor(blockSeconds)) {
    sums.push(0, 0, 0, 0, 0, 0, m.g0, m.g1, 0, m.g0, 0, m.start, 0, 0, 0, 1);
  }
  return { originKg, count: 0, sums };
}

/** What is left of the transient, kg, by the model's present estimate of the weight. */
function leftOfTransient(s: number[], o: number): number {
  const a = s[o + 12] ?? 0;
  return a > 0 ? (s[o + 2] ?? 0) - ((s[o + 13] ?? 0) / a) * (s[o + 5] ?? 0) : 0;
}

/** Moves one model's filter on by one block without a reading. */
function predict(m: Model, s: number[], o: number, q: number, unitKg: number): void {
  const left = m.wander > 0 ? leftOfTransient(s, o) / unitKg : 0;
  const wandering = m.wander * left * left;
  for (const i of [o, o + 3]) {
    const first = s[i] ?? 0;
    s[i] = m.a1 * first + m.a2 * (s[i + 1] ?? 0);
    s[i + 1] = first;
    s[i + 2] = (s[i + 2] ?? 0) * m.fade;
  }
  const p11 = s[o + 6] ?? 0;
  const p12 = s[o + 7] ?? 0;
  const p13 = s[o + 8] ?? 0;
  const p22 = s[o + 9] ?? 0;
  const p23 = s[o + 10] ?? 0;
  s[o + 6] = m.a1 * (m.a1 * p11 + 2 * m.a2 * p12) + m.a2 * m.a2 * p22 + q;
  s[o + 7] = m.a1 * p11 + m.a2 * p12;
  s[o + 8] = m.fade * (m.a1 * p13 + m.a2 * p23);
  s[o + 9] = p11;
  s[o + 10] = m.fade * p13;
  s[o + 11] = m.fade * m.fade * (s[o + 11] ?? 0) + wandering;
}

/** Takes one reading into one model: e = x(k) - x(k-1) + transient + white. */
function update(s: number[], o: number, y: number, r: number): void {
  const nu = y - ((s[o] ?? 0) - (s[o + 1] ?? 0) + (s[o + 2] ?? 0));
  const nu1 = 1 - ((s[o + 3] ?? 0) - (s[o + 4] ?? 0) + (s[o + 5] ?? 0));
  const p11 = s[o + 6] ?? 0;
  const p12 = s[o + 7] ?? 0;
  const p13 = s[o + 8] ?? 0;
  const p22 = s[o + 9] ?? 0;
  const p23 = s[o + 10] ?? 0;
  const p33 = s[o + 11] ?? 0;
  const h1 = p11 - p12 + p13;
  const h2 = p12 - p22 + p23;
  const h3 = p13 - p23 + p33;
  const v = h1 - h2 + h3 + r;
  const k1 = h1 / v;
  const k2 = h2 / v;
  const k3 = h3 / v;
  s[o] = (s[o] ?? 0) + k1 * nu;
  s[o + 1] = (s[o + 1] ?? 0) + k2 * nu;
  s[o + 2] = (s[o + 2] ?? 0) + k3 * nu;
  s[o + 3] = (s[o + 3] ?? 0) + k1 * nu1;
  s[o + 4] = (s[o + 4] ?? 0) + k2 * nu1;
  s[o + 5] = (s[o + 5] ?? 0) + k3 * nu1;
  s[o + 6] = p11 - k1 * h1;
  s[o + 7] = p12 - k1 * h2;
  s[o + 8] = p13 - k1 * h3;
  s[o + 9] = p22 - k2 * h2;
  s[o + 10] = p23 - k2 * h3;
  s[o + 11] = p33 - k3 * h3;
  s[o + 12] = (s[o + 12] ?? 0) + (nu1 * nu1) / v;
  s[o + 13] = (s[o + 13] ?? 0) + (nu1 * nu) / v;
  s[o + 14] = (s[o + 14] ?? 0) + (nu * nu) / v;
  s[o + 15] = (s[o + 15] ?? 1) * v;
}

/**
 * Takes one block.
 * @param kg mean of the block, kg.
 * @param steps blocks since the one before: 1, more where readings were lost.
 * @param wide how many times the usual variance this block has (a burst of movement).
 * @param unitKg scatter of a block as far as it is known, kg.
 */
export function addBlock(
  bank: Bank,
  blockSeconds: number,
  kg: number,
  steps: number,
  wide: number,
  unitKg: number,
): Bank {
  const sums = bank.sums.slice();
  const gap = bank.count > 0 ? Math.min(steps, MOST_GAP) : 0;
  let o = 0;
  for (const m of modelsFor(blockSeconds)) {
    for (let i = 1; i < gap; i += 1) predict(m, sums, o, m.q, unitKg);
    if (gap > 0) predict(m, sums, o, m.q * wide, unitKg);
    update(sums, o, kg - bank.originKg, m.r * wide);
    o += STRIDE;
  }
  return { originKg: bank.originKg, count: bank.count + 1, sums };
}

/** Prior of the scatter: as if `degrees` readings had shown `scatterKg`. */
export interface ScatterPrior {
  scatterKg: number;
  degrees: number;
  /** Weight of each model in the mixture, as learnt; empty for those of the start. */
  weights: readonly number[];
}

const LN_2PI = 1.8378770664093453;
/** A model this far behind the best, in ln, is left out of the mixture. */
const NEGLIGIBLE = -14;
const LN_GAMMA = [0, 0.5723649429247001, 0];

/** ln of the gamma function at n / 2 for n of 1 or more: up from 1/2 and 1 by gamma(x + 1) = x gamma(x). */
function lnGammaOfHalf(n: number): number {
  for (let i = LN_GAMMA.length; i <= n; i += 1) {
    LN_GAMMA.push((LN_GAMMA[i - 2] ?? 0) + ln((i - 2) / 2));
  }
  return LN_GAMMA[n] ?? 0;
}

/**
 * What the bank says of the weight. The weight's own prior is flat; the variance's prior is
 * inverse gamma.
 */
export function posterior(bank: Bank, blockSeconds: number, prior: ScatterPrior): Posterior {
  const degrees = prior.degrees + bank.count - 1;
  const spread = prior.degrees * prior.scatterKg * prior.scatterKg;
  const { logs, best } = fits(bank, blockSeconds, prior, spread);
  const sum = { weight: 0, kg: 0, square: 0, scatter: 0 };
  for (let k = 0, o = 0; k < logs.length; k += 1, o += STRIDE) {
    const behind = (logs[k] ?? 0) - best;
    if (behind < NEGLIGIBLE) continue;
    const w = exp(behind);
    const a = bank.sums[o + 12] ?? 1;
    const kg = (bank.sums[o + 13] ?? 0) / a;
    const variance = varianceOf(bank.sums, o, spread, degrees);
    sum.weight += w;
    sum.kg += w * kg;
    sum.square += w * (variance / a + kg * kg);
    sum.scatter += w * variance;
  }
  const kg = sum.kg / sum.weight;
  return {
    kg: bank.originKg + kg,
    scaleKg: Math.sqrt(Math.max(0, sum.square / sum.weight - kg * kg)),
    degrees,
    scatterKg: Math.sqrt(sum.scatter / sum.weight),
    evidence: best + ln(sum.weight) + evidenceBase(bank.count, degrees, prior.degrees, spread),
  };
}

/** How well each model foretold the blocks, ln, and the best of them. */
function fits(
  bank: Bank,
  blockSeconds: number,
  prior: ScatterPrior,
  spread: number,
): { logs: number[]; best: number } {
  const models = modelsFor(blockSeconds);
  const degrees = prior.degrees + bank.count - 1;
  const logs: number[] = [];
  let best = -Infinity;
  for (let k = 0, o = 0; k < models.length; k += 1, o += STRIDE) {
    const weight = prior.weights[k] ?? models[k]?.prior ?? 1;
    const a = bank.sums[o + 12] ?? 1;
    const variance = varianceOf(bank.sums, o, spread, degrees);
    const fit = ln((bank.sums[o + 15] ?? 1) * a) + degrees * ln(variance);
    const log = ln(weight) - 0.5 * fit;
    logs.push(log);
    if (log > best) best = log;
  }
  return { logs, best };
}

/** Least weight that a model keeps, so that it can come back. */
const LEAST_WEIGHT = 0.0002;

/**
 * The models' weights after one more animal.
 * @param share how much this animal counts, 0 to 1.
 */
export function learnWeights(
  bank: Bank,
  blockSeconds: number,
  prior: ScatterPrior,
  share: number,
): number[] {
  const spread = prior.degrees * prior.scatterKg * prior.scatterKg;
  const { logs, best } = fits(bank, blockSeconds, prior, spread);
  const found = logs.map((log) => exp(log - best));
  const sum = found.reduce((a, b) => a + b, 0);
  const models = modelsFor(blockSeconds);
  return found.map((value, k) => {
    const before = prior.weights[k] ?? models[k]?.prior ?? 0;
    return Math.max(LEAST_WEIGHT, before + share * (value / sum - before));
  });
}

/** A model's estimate of the variance of a block, prior included. */
function varianceOf(sums: number[], o: number, spread: number, degrees: number): number {
  const b = sums[o + 13] ?? 0;
  const rest = Math.max(0, (sums[o + 14] ?? 0) - (b * b) / (sums[o + 12] ?? 1));
  return (spread + rest) / degrees;
}

/** The part of the evidence that all models share. */
function evidenceBase(count: number, degrees: number, before: number, spread: number): number {
  return (
    0.5 * before * ln(spread / 2) +
    lnGammaOfHalf(degrees) -
    lnGammaOfHalf(before) -
    0.5 * (count - 1) * LN_2PI -
    0.5 * degrees * ln(degrees / 2)
  );
}
