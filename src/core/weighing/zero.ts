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
/** Tracking in divisions a second (OIML R 76-1, 4.5.7: at most 0.5, from memory). */
const TRACKING_DIVISIONS = 0.5;
/** Tracking in all, of Max: half of the 4 % of OIML R 76-1, 4.5.1. */
const TRACKING_SHARE = 0.02;

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
  return roundingVariance(config.divisionKg, zero.scatterKg / 2) + mean;
}

/** The crate is not seen empty now: the run is broken. */
export function breakRun(zero: Zero): Zero {
  if (zero.run.count === 0) return zero;
  return { ...zero, run: { count: 0, sum: 0, low: 0, high: 0 }, fresh: false };
}

/** A person says that the crate is empty. */
export function askZero(zero: Zero): Zero {
  return { ...zero, asked: true, run: { count: 0, sum: 0, low: 0, high: 0 } };
}

/**
 * Takes one reading that may be of the empty crate.
 * @param kg as the weigh head sent it.
 * @param seconds length of a reading.
 */
export function lookAtEmpty(config: WeighingConfig, zero: Zero, kg: number, seconds: number): Zero {
  const near = zero.asked || Math.abs(kg - zero.kg) <= nearZeroKg(config);
  if (!near) return breakRun(zero);
  const band = Math.max(0.3, 3 * config.divisionKg);
  const { run } = zero;
  const low = run.count === 0 ? kg : Math.min(run.low, kg);
  const high = run.count === 0 ? kg : Math.max(run.high, kg);
  if (high - low > band) {
    return { ...zero, run: { count: 1, sum: kg, low: kg, high: kg }, fresh: false };
  }
  const grown = { count: run.count + 1, sum: run.sum + kg, low, high };
  if (grown.count < Math.max(2, Math.ceil(STEADY_SECONDS / seconds - 0.01)))
    return { ...zero, run: grown };
  const mean = grown.sum / grown.count;
  const setting = zero.fresh && grown.count * seconds <= SETTING_SECONDS;
  if (!zero.known || zero.asked || setting) {
    const set = { kg: mean, known: true, movedKg: 0, asked: false, fresh: true, offKg: 0 };
    const scatterKg = (high - low) / 2;
    return { ...zero, ...set, scatterKg, run: grown };
  }
  return track(config, { ...zero, run: grown }, kg, seconds);
}

function track(config: WeighingConfig, zero: Zero, kg: number, seconds: number): Zero {
  const most = TRACKING_DIVISIONS * config.divisionKg * seconds;
  const limit = TRACKING_SHARE * config.maxKg;
  const wanted = Math.max(-most, Math.min(most, kg - zero.kg));
  const moved = Math.max(-limit, Math.min(limit, zero.movedKg + wanted));
  const offKg = zero.offKg + 0.2 * (kg - zero.kg - zero.offKg);
  return { ...zero, kg: zero.kg + moved - zero.movedKg, movedKg: moved, fresh: false, offKg };
}
