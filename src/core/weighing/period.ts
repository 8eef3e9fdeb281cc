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
  /** Readings counted beyond the time that has passed: the rest of a bunch that came at once. */
  lead: number;
}

/** Readings in a stretch. */
const STRETCH = 50;
/** A wait of this many periods, those of a bunch before it aside, is no part of the measure. */
const TOO_LONG = 4;
/** A bunch of more readings than this is not made up for by the wait before the next. */
const MOST_LEAD = 25;
/** What is left of a lead after a reading: one that a wrong period made goes away. */
const LEAD_LEFT = 0.995;

export function initialPeriod(rateHz: number): Period {
  return { ms: 1000 / rateHz, lastAt: null, count: 0, sumMs: 0, lead: 0 };
}

function heardNow({ ms, count, sumMs }: Period, t: number, lead: number): Period {
  return { ms, lastAt: t, count, sumMs, lead };
}

/**
 * Takes the arrival of a reading.
 * @returns the period and how many readings' time has passed: 1, more where some were lost.
 */
export function takeArrival(period: Period, t: number): { period: Period; steps: number } {
  if (period.lastAt === null) return { period: heardNow(period, t, 0), steps: 1 };
  const elapsed = t - period.lastAt;
  if (elapsed < 0) return { period: heardNow(period, t, 0), steps: 1 };
  // Those that came in a bunch were counted then; the wait after it is theirs and no loss.
  const gone = elapsed / period.ms;
  const steps = Math.min(1000, Math.max(1, Math.round(gone - period.lead)));
  const lead = Math.min(MOST_LEAD, Math.max(0, LEAD_LEFT * (period.lead + steps - gone)));
  if (gone - period.lead > TOO_LONG) return { period: heardNow(period, t, lead), steps };
  const count = period.count + 1;
  const sumMs = period.sumMs + elapsed;
  if (count < STRETCH) return { period: { ms: period.ms, lastAt: t, count, sumMs, lead }, steps };
  // Bounded to what a rate of 1 to 50 a second can be.
  const ms = Math.min(1500, Math.max(15, 0.5 * period.ms + (0.5 * sumMs) / count));
  return { period: { ms, lastAt: t, count: 0, sumMs: 0, lead }, steps };
}
