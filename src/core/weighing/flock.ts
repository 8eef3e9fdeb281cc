/**
 * What earlier animals taught: how heavy they are, how much they move, how often one stops with
 * only its front feet on. Used to tell a light animal from half a heavy one.
 */
import { exp, ln, normalDensity } from '../normal.ts';

export interface Flock {
  /** Animals learnt from, and the mean and variance of their weights (recent ones count more). */
  animals: number;
  meanKg: number;
  variance: number;
  /** Logarithm of the scatter of a block as a share of the weight: just on, and later; averaged. */
  lnEarly: number;
  lnLate: number;
  /** Animals seen to pause with the front feet on. */
  pauses: number;
  /** Weights of the models of movement; empty before any animal. */
  weights: number[];
}

/** Scatter expected before any animal was seen, as a share of the weight. */
const FIRST_EARLY = 0.04;
const FIRST_LATE = 0.01;
/** Animals after which older ones begin to fade. */
const MEMORY = 50;
/** How many animals the broad first guess counts for. */
const BROAD_COUNT = 3;
/** Share of animals that may weigh anything, and the range of that, kg. */
const STRANGERS = 0.08;
const BROAD_RANGE_KG = 90;

export function initialFlock(): Flock {
  return {
    animals: 0,
    meanKg: 0,
    variance: 0,
    lnEarly: ln(FIRST_EARLY),
    lnLate: ln(FIRST_LATE),
    pauses: 0,
    weights: [],
  };
}

/** How one animal moved. */
export interface Seen {
  /** Scatter of a block just after it was on, kg; 0 where that was not seen. */
  earlyKg: number;
  /** Scatter of a block about the weight in the end, kg. */
  lateKg: number;
  /** It stopped with the front feet on. */
  paused: boolean;
  /** Weights of the models of movement after it. */
  weights: number[];
}

/** Learns from one animal whose weight was found well. */
export function learnAnimal(flock: Flock, kg: number, seen: Seen): Flock {
  const early =
    seen.earlyKg > 0 ? ln(Math.max(1e-4, seen.earlyKg / Math.max(1, kg))) : flock.lnEarly;
  const late = ln(Math.max(1e-4, seen.lateKg / Math.max(1, kg)));
  const n = Math.min(flock.animals + 1, MEMORY);
  const fading = n === MEMORY ? 1 - 1 / MEMORY : 1;
  const off = kg - flock.meanKg;
  return {
    animals: n,
    meanKg: flock.meanKg + off / n,
    variance: flock.variance + (off * off * (1 - 1 / n) - flock.variance) / n,
    lnEarly: flock.lnEarly + (early - flock.lnEarly) / (n + 2),
    lnLate: flock.lnLate + (late - flock.lnLate) / (n + 2),
    pauses: flock.pauses * fading + (seen.paused ? 1 : 0),
    weights: seen.weights,
  };
}

/** Scatter of a block to be expected of an animal, kg. */
export function expectedScatterKg(flock: Flock, kg: number, early: boolean): number {
  return exp(early ? flock.lnEarly : flock.lnLate) * Math.abs(kg);
}

/** Density of whole weights at this weight, a kg. */
function densityAt(flock: Flock, kg: number): number {
  const n = flock.animals;
  const known = (n / (n + BROAD_COUNT)) * (1 - STRANGERS);
  const guess = 0.15 * flock.meanKg;
  const sd = Math.sqrt((n * flock.variance + 2 * guess * guess) / (n + 2)) + 0.5;
  const near = n === 0 ? 0 : normalDensity((kg - flock.meanKg) / sd) / sd;
  return known * near + (1 - known) / BROAD_RANGE_KG;
}

/** Share of the weight on one foot, on the front feet (0.57 with SD 0.05), and their weights. */
const FRONT_SHARES = [0.29, 0.47, 0.52, 0.57, 0.62, 0.67];
const FRONT_WEIGHTS = [0.1, 0.06, 0.22, 0.34, 0.22, 0.06];
/** The same with three feet on. */
const THREE_SHARES = [0.73, 0.79, 0.85];
const THREE_WEIGHTS = [0.3, 0.4, 0.3];

/** Density of loads with some feet still off at this weight, a kg. */
function stageDensityAt(
  flock: Flock,
  kg: number,
  shares: readonly number[],
  weights: readonly number[],
): number {
  let sum = 0;
  for (let i = 0; i < shares.length; i += 1) {
    const share = shares[i] ?? 1;
    sum += ((weights[i] ?? 0) * densityAt(flock, kg / share)) / share;
  }
  return sum;
}

/** Share of the weight that front feet carried before a rise, and its spread. */
const FRONT_SHARE = 0.57;
const FRONT_SPREAD = 0.07;
/** Share of animals behind which another pushes on. */
const SECOND_ANIMALS = 0.01;
/** How long a stage of coming on usually lasts, and a pause with the front feet on, s. */
const USUAL_SECONDS = 0.13;
const PAUSE_SECONDS = 2.2;

/** Probability that front feet that stand alone still do so after this many seconds. */
function stillPausing(flock: Flock, seconds: number): number {
  const pausing = (flock.pauses + 1) / (flock.animals + 10);
  return (1 - pausing) * exp(-seconds / USUAL_SECONDS) + pausing * exp(-seconds / PAUSE_SECONDS);
}

/** Probabilities that more of this animal is still to come on. */
export interface ToCome {
  /** The hind feet: about as much again. */
  half: number;
  /** The last foot: about a quarter. */
  foot: number;
}

/**
 * Probability that more is still to come on, by what whole animals weigh and how long it has
 * stood so.
 * @param kg level of the readings, zero subtracted.
 * @param seconds how long they have been at this level.
 * @param before how long an earlier level lasted that makes this the second step already; 0 for
 * none.
 */
export function toCome(flock: Flock, kg: number, seconds: number, before: number): ToCome {
  const brief = exp(-seconds / USUAL_SECONDS);
  const still = stillPausing(flock, seconds);
  const whole = densityAt(flock, kg);
  const seen = before >= 0.5 ? 0.01 : before >= 0.2 ? 0.3 : 1;
  const half = (seen * still * stageDensityAt(flock, kg, FRONT_SHARES, FRONT_WEIGHTS)) / whole;
  const foot = (brief * stageDensityAt(flock, kg, THREE_SHARES, THREE_WEIGHTS)) / whole;
  const all = 1 + half + foot;
  return { half: half / all, foot: foot / all };
}

/**
 * Odds that a rise was a second animal, not the rest of the first.
 * @param beforeKg level before, @param seconds how long it lasted, @param afterKg level after it.
 */
export function secondAnimalOdds(
  flock: Flock,
  beforeKg: number,
  seconds: number,
  afterKg: number,
): number {
  const share = beforeKg / afterKg;
  const z = (share - FRONT_SHARE) / FRONT_SPREAD;
  const front = (densityAt(flock, afterKg) * normalDensity(z)) / FRONT_SPREAD / afterKg;
  const two = densityAt(flock, beforeKg) * densityAt(flock, afterKg - beforeKg);
  return (SECOND_ANIMALS * two) / Math.max(1e-12, stillPausing(flock, seconds) * front);
}
