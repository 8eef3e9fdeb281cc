/**
 * The time between readings, learnt: arrival times jitter and come in bunches, so lengths of time
 * are a count of readings times this, not a difference of arrivals.
 */
export interface Period {
  /** Learnt time between readings, ms. */
  ms: number;
  /** Arrival of the last reading. */
  lastAt: number | null;
  /** Readings and ms of the stretch that is being measured. */
  count: number;
  sumMs: number;
}

/** Readings in a stretch. */
const STRETCH = 50;
/** A wait of this many periods is no part of the measure. */
const TOO_LONG = 4;

export function initialPeriod(rateHz: number): Period {
  return { ms: 1000 / rateHz, lastAt: null, count: 0, sumMs: 0 };
}

function heardNow({ ms, count, sumMs }: Period, t: number): Period {
  return { ms, lastAt: t, count, sumMs };
}

/**
 * Takes the arrival of a reading.
 * @returns the period and how many readings' time has passed: 1, more where some were lost.
 */
export function takeArrival(period: Period, t: number): { period: Period; steps: number } {
  if (period.lastAt === null) return { period: heardNow(period, t), steps: 1 };
  const elapsed = t - period.lastAt;
  const steps = Math.min(1000, Math.max(1, Math.round(elapsed / period.ms)));
  if (elapsed < 0 || elapsed > TOO_LONG * period.ms) {
    return { period: heardNow(period, t), steps };
  }
  const count = period.count + 1;
  const sumMs = period.sumMs + elapsed;
  if (count < STRETCH) return { period: { ms: period.ms, lastAt: t, count, sumMs }, steps };
  // Bounded to what a rate of 1 to 50 a second can be.
  const ms = Math.min(1500, Math.max(15, 0.5 * period.ms + (0.5 * sumMs) / count));
  return { period: { ms, lastAt: t, count: 0, sumMs: 0 }, steps };
}
