/**
 * The ways of moving that the bank mixes, scaled so that the scatter of a block is 1: how the
 * body's momentum x runs from block to block, and how the transient of coming on dies away.
 */
import { cosineOfTurns, exp } from '../normal.ts';

/** One way of moving, scaled so that the readings' scatter is 1. */
export interface Model {
  /** x(k) = a1 x(k-1) + a2 x(k-2) + noise of variance q. */
  a1: number;
  a2: number;
  q: number;
  /** Stationary variance and lag-1 covariance of x. */
  g0: number;
  g1: number;
  /** Variance of the part of a reading that is no movement of a bounded body. */
  r: number;
  /** Fading of the transient in one block, and its variance at the start. */
  fade: number;
  start: number;
  /** How far from that fading it may run in a block, squared, as a share of what is left of it. */
  wander: number;
  /** Prior weight in the mixture before anything was learnt. */
  prior: number;
}

const FREQUENCIES = [0.9, 1.7, 3];
const MEMORY_SECONDS = [0.25, 0.8];
const WHITE_PART = 0.02;
/** A weigh head that filters heavily nears the weight with a time constant near one of these, s. */
const FILTER_SECONDS = [0.25, 0.4, 0.6, 0.9, 1.4];
const FILTER_VARIANCE = 200;
/** The time constant is uncertain by the square root of this, relative. */
const FILTER_WANDER = 0.1;
const ONSET_SECONDS = 0.1;
const ONSET_VARIANCE = 10;

/** Scales x so that e = x(k) - x(k-1) plus its white part has variance 1. */
function model(
  swing: { a1: number; a2: number; white: number },
  fade: number,
  start: number,
  prior: number,
  wander = 0,
): Model {
  const { a1, a2, white } = swing;
  const rho1 = a1 / (1 - a2);
  const unitVariance = 2 * (1 - rho1);
  const g0 = white >= 1 ? 0 : (1 - white) / unitVariance;
  const q = g0 * (1 - a1 * rho1 - a2 * (a1 * rho1 + a2));
  return { a1, a2, q, g0, g1: g0 * rho1, r: white, fade, start, wander, prior };
}

function makeModels(blockSeconds: number): Model[] {
  const fading = (seconds: number): number => exp(-blockSeconds / seconds);
  const plain = { a1: 0, a2: 0, white: WHITE_PART };
  const slow = { a1: fading(0.3), a2: 0, white: WHITE_PART };
  const onset = fading(ONSET_SECONDS);
  const models = [
    model({ a1: 0, a2: 0, white: 1 }, onset, ONSET_VARIANCE, 0.1),
    model(plain, onset, ONSET_VARIANCE, 0.2),
    model(slow, onset, ONSET_VARIANCE, 0.2),
  ];
  for (const hertz of FREQUENCIES) {
    for (const memory of MEMORY_SECONDS) {
      const rho = fading(memory);
      const a1 = 2 * rho * cosineOfTurns(hertz * blockSeconds);
      const swing = { a1, a2: -rho * rho, white: WHITE_PART };
      models.push(model(swing, onset, ONSET_VARIANCE, 0.48 / 6));
    }
  }
  for (const seconds of FILTER_SECONDS) {
    const wander = FILTER_WANDER * (blockSeconds / seconds) * (blockSeconds / seconds);
    models.push(model(slow, fading(seconds), FILTER_VARIANCE, 0.004, wander));
  }
  return models;
}

/** Models by block length: a table of constants, filled when first asked for. */
const tables = new Map<number, Model[]>();

export function modelsFor(blockSeconds: number): Model[] {
  const known = tables.get(blockSeconds);
  if (known !== undefined) return known;
  const made = makeModels(blockSeconds);
  tables.set(blockSeconds, made);
  return made;
}
