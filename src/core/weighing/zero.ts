/**
 * Zero: none at power-up until the crate was seen empty and steady near the last zero, or a person
 * says that it is empty; then tracked slowly, only while empty and steady.
 */
import { roundingVariance } from './rounding.ts';
import type { WeighingConfig } from './result.ts';

export interface Zero {
  /** Reading of the empty crate, kg; the nominal 0 of the weigh head while not known. */
  kg: number;
  known: boolean;
  /** Tracked away from the zero last set, kg; limited. */
  movedKg: number;
  /** The run of readings that looks empty and steady: count, sum, least, greatest. */
  run: { count: number; sum: number; low: number; high: number };
  /** A person said that the crate is empty: the next steady run is zero wherever it lies. */
  asked: boolean;
  /** Set within this run: it may still be refined as a mean. */
  fresh: boolean;
  /** Scatter of the readings that the zero rests on, kg. */
  scatterKg: number;
  /** Where the empty reading lies off the zero when last steady, kg. */
  offKg: number;
}

/** Seconds of steady readings that make a zero. */
const STEADY_SECONDS = 0.3;
/** Seconds for which the mean of the first run still counts as setting, not tracking. */
const SETTING_SECONDS = 1.5;
/** Readings within this are steady, kg; three divisions where those are coarser. */
const STEADY_BAND_KG = 0.3;
/** Readings after which a run begins anew. */
const LONGEST_RUN = 500;
/** Weight of a reading in how far the empty crate is off. */
const OFF_WEIGHT = 0.2;
/** Tracking in divisions a second (OIML R 76-1, 4.5.7: at most 0.5, from memory). */
const TRACKING_DIVISIONS = 0.5;
/** Tracking in all, of Max: half of the 4 % of OIML R 76-1, 4.5.1. */
const TRACKING_SHARE = 0.02;

/** Field by field: the engine copies so many times quicker than by a spread, and this is each step. */
function copyOf(zero: Zero): Zero {
  const { kg, known, movedKg, run, asked, fresh, scatterKg, offKg } = zero;
  return { kg, known, movedKg, run, asked, fresh, scatterKg, offKg };
}

export function initialZero(): Zero {
  const run = { count: 0, sum: 0, low: 0, high: 0 };
  return {
    kg: 0,
    known: false,
    movedKg: 0,
    run,
    asked: false,
    fresh: false,
    scatterKg: 0,
    offKg: 0,
  };
}

/** How far from the last zero an empty crate may read at power-up, kg. */
export function nearZeroKg(config: WeighingConfig): number {
  return Math.min(0.04 * config.maxKg, Math.max(2, 3 * config.divisionKg));
}

/** Variance of the zero, kg squared. */
export function zeroVariance(config: WeighingConfig, zero: Zero): number {
  if (!zero.known) return (nearZeroKg(config) * nearZeroKg(config)) / 3;
  const mean = (zero.scatterKg * zero.scatterKg) / 4;
  const beyond = Math.max(0, Math.abs(zero.offKg) - 0.5 * config.divisionKg);
  return roundingVariance(config.divisionKg, zero.scatterKg / 2) + mean + beyond * beyond;
}

/** The crate is not seen empty now: the run is broken. */
export function breakRun(zero: Zero): Zero {
  if (zero.run.count === 0) return zero;
  const next = copyOf(zero);
  next.run = { count: 0, sum: 0, low: 0, high: 0 };
  next.fresh = false;
  return next;
}

/** A person says that the crate is empty. */
export function askZero(zero: Zero): Zero {
  return { ...zero, asked: true, run: { count: 0, sum: 0, low: 0, high: 0 } };
}

/** A person's word is good for readings up to this share of Max (OIML R 76-1, 4.5.1). */
const ASKED_SHARE = 0.2;

/**
 * Takes one reading that may be of the empty crate.
 * @param kg as the weigh head sent it.
 * @param seconds length of a reading.
 */
export function lookAtEmpty(config: WeighingConfig, zero: Zero, kg: number, seconds: number): Zero {
  const run = longerRun(config, zero, kg);
  const steady = run.count >= Math.max(2, Math.ceil(STEADY_SECONDS / seconds - 0.01));
  const fresh = zero.fresh && run.count > 1;
  const seen = copyOf(zero);
  seen.run = run;
  seen.fresh = fresh;
  if (!steady) return seen;
  const setting = fresh && run.count * seconds <= SETTING_SECONDS;
  const near = Math.abs(kg - zero.kg) <= nearZeroKg(config);
  const asked = zero.asked && Math.abs(kg) <= ASKED_SHARE * config.maxKg;
  if (asked || (near && (!zero.known || setting))) return setZero(seen);
  seen.asked = false;
  seen.offKg = zero.offKg + OFF_WEIGHT * (kg - zero.kg - zero.offKg);
  return near && zero.known ? track(config, seen, kg, seconds) : seen;
}

/** The run with one more reading; a new one where the reading leaves the band. */
function longerRun(config: WeighingConfig, zero: Zero, kg: number): Zero['run'] {
  const { run } = zero;
  const low = run.count === 0 ? kg : Math.min(run.low, kg);
  const high = run.count === 0 ? kg : Math.max(run.high, kg);
  if (high - low > Math.max(STEADY_BAND_KG, 3 * config.divisionKg)) {
    return { count: 1, sum: kg, low: kg, high: kg };
  }
  // Long runs begin anew now and then, so that a slow drift is no unsteadiness.
  if (run.count >= LONGEST_RUN) return { count: 1, sum: kg, low: kg, high: kg };
  return { count: run.count + 1, sum: run.sum + kg, low, high };
}

function setZero(zero: Zero): Zero {
  const { run } = zero;
  const scatterKg = (run.high - run.low) / 2;
  const kg = run.sum / run.count;
  return { ...zero, kg, known: true, movedKg: 0, asked: false, fresh: true, scatterKg, offKg: 0 };
}

function track(config: WeighingConfig, zero: Zero, kg: number, seconds: number): Zero {
  const most = TRACKING_DIVISIONS * config.divisionKg * seconds;
  const limit = TRACKING_SHARE * config.maxKg;
  const wanted = Math.max(-most, Math.min(most, kg - zero.kg));
  const moved = Math.max(-limit, Math.min(limit, zero.movedKg + wanted));
  const next = copyOf(zero);
  next.kg = zero.kg + moved - zero.movedKg;
  next.movedKg = moved;
  next.fresh = false;
  return next;
}

/** The empty crate reads so far off, or has been tracked so far, that it must be cleaned and zeroed. */
export function isDrifting(config: WeighingConfig, zero: Zero): boolean {
  const limit = TRACKING_SHARE * config.maxKg;
  const off = Math.abs(zero.offKg) > Math.max(0.5, 5 * config.divisionKg);
  return zero.known && (off || Math.abs(zero.movedKg) >= limit);
}
