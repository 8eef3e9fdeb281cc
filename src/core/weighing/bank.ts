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
import { ln } from '../normal.ts';
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

/** Bound of the product of variances, and one over it. */
const MOST_PRODUCT = 1e280;

/** Blocks lost in a row beyond which nothing is remembered of the movement anyway. */
const MOST_GAP = 20;

/** Numbers of an unused bank by block length: a table of constants, filled when first asked for. */
const unused = new Map<number, readonly number[]>();

/** A bank that has seen no reading. */
export function emptyBank(blockSeconds: number, originKg: number): Bank {
  let sums = unused.get(blockSeconds);
  if (sums === undefined) {
    // Pushed one by one: that the engine keeps as plain doubles, which makes every block quicker.
    const filled: number[] = [];
    for (const m of modelsFor(blockSeconds)) {
      filled.push(0, 0, 0, 0, 0, 0, m.g0, m.g1, 0, m.g0, 0, m.start, 0, 0, 0, 1);
    }
    sums = filled;
    unused.set(blockSeconds, sums);
  }
  return { originKg, count: 0, sums: sums.slice() };
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
  // Kept within doubles: an animal held for minutes, or thrown about, must not end at 0 or Infinity.
  s[o + 15] = Math.min(MOST_PRODUCT, Math.max(1 / MOST_PRODUCT, (s[o + 15] ?? 1) * v));
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
 * @param prior its `degrees` a whole number.
 */
export function posterior(bank: Bank, blockSeconds: number, prior: ScatterPrior): Posterior {
  const models = modelsFor(blockSeconds);
  const { sums, count, originKg } = bank;
  const degrees = prior.degrees + count - 1;
  const spread = prior.degrees * prior.scatterKg * prior.scatterKg;
  const least = leastSpread(sums, spread);
  let weight = 0;
  let first = 0;
  let square = 0;
  let scatter = 0;
  for (let k = 0, o = 0; o < sums.length; k += 1, o += STRIDE) {
    const total = spreadOf(sums, o, spread);
    const a = sums[o + 12] ?? 1;
    const w = (prior.weights[k] ?? models[k]?.prior ?? 1) * fit(sums, o, least / total, degrees);
    const kg = (sums[o + 13] ?? 0) / a;
    const variance = total / degrees;
    weight += w;
    first += w * kg;
    square += w * (variance / a + kg * kg);
    scatter += w * variance;
  }
  const kg = first / weight;
  return {
    kg: originKg + kg,
    scaleKg: Math.sqrt(Math.max(0, square / weight - kg * kg)),
    degrees,
    scatterKg: Math.sqrt(scatter / weight),
    evidence:
      ln(weight) +
      0.5 * (prior.degrees * ln(spread / 2) - degrees * ln(least / 2) - (count - 1) * LN_2PI) +
      lnGammaOfHalf(degrees) -
      lnGammaOfHalf(prior.degrees),
  };
}

/**
 * How well a model foretold the blocks, beside one of the least spread: no logarithm, because this
 * is most of the work of a step.
 * @param ratio least spread by this model's, 0 to 1; @param degrees a whole number.
 */
function fit(sums: readonly number[], o: number, ratio: number, degrees: number): number {
  let power = 1;
  let base = ratio;
  for (let n = degrees; n > 0; n = Math.floor(n / 2)) {
    if (n % 2 === 1) power *= base;
    base *= base;
  }
  return Math.sqrt(power / ((sums[o + 15] ?? 1) * (sums[o + 12] ?? 1)));
}

/** A model's sum of squares about its weight, the prior's share included. */
function spreadOf(sums: readonly number[], o: number, spread: number): number {
  const b = sums[o + 13] ?? 0;
  return spread + Math.max(0, (sums[o + 14] ?? 0) - (b * b) / (sums[o + 12] ?? 1));
}

function leastSpread(sums: readonly number[], spread: number): number {
  let least = Infinity;
  for (let o = 0; o < sums.length; o += STRIDE) least = Math.min(least, spreadOf(sums, o, spread));
  return least;
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
  const models = modelsFor(blockSeconds);
  const degrees = prior.degrees + bank.count - 1;
  const spread = prior.degrees * prior.scatterKg * prior.scatterKg;
  const least = leastSpread(bank.sums, spread);
  const before = models.map((m, k) => prior.weights[k] ?? m.prior);
  const found = before.map((weight, k) => {
    const ratio = least / spreadOf(bank.sums, k * STRIDE, spread);
    return weight * fit(bank.sums, k * STRIDE, ratio, degrees);
  });
  const sum = found.reduce((a, b) => a + b, 0);
  return before.map((weight, k) =>
    Math.max(LEAST_WEIGHT, weight + share * ((found[k] ?? 0) / sum - weight)),
  );
}
