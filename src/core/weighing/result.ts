import type { ReadingInput } from '../trace.ts';

/** What the weighing needs to know of the site and the plan. */
export interface WeighingConfig {
  /** Division d of the weigh head, kg: 0.05 to 1. */
  divisionKg: number;
  /** Nominal readings a second: 1 to 50. */
  rateHz: number;
  /** Greatest load of the weigh head, kg. */
  maxKg: number;
  /** A reading over this begins an animal's coming on, kg. */
  loadingKg: number;
  /** The crate counts as empty below this, kg; less than `loadingKg`. */
  emptyKg: number;
  /** No reading for this long: stale, ms. */
  staleMs: number;
  /** True for a clamp that holds the body: its closing is not leaning. */
  clamp: boolean;
  /** The settle rule of the plan, or null where only `sure` decides. */
  settle: { withinKg: number; forMs: number } | null;
}

/** Something about the weight that looks wrong; each makes the animal not sure while it lasts. */
export type Oddity =
  | 'front-feet-only'
  | 'leaning'
  | 'two-animals'
  | 'overload'
  | 'negative'
  | 'stuck'
  | 'zero-unknown'
  | 'empty-drifting'
  | 'unit-changed'
  | 'readings-late'
  | 'weigh-head-error';

export interface Estimate {
  /** Best estimate of the weight, kg (not rounded), zero subtracted. */
  kg: number;
  /** Half-width of the 95 % interval, kg. */
  u95Kg: number;
  /** Standard uncertainty to be used against cuts, kg; allows for looking again and again. */
  uKg: number;
  /** All readings within the plan's band for its settle time. */
  settled: boolean;
  /** ms of readings that the estimate rests on. */
  spanMs: number;
  /** Probability, 0 to 1, that the hind feet, or the last foot, are still to come on. */
  toCome: { half: number; foot: number };
}

/** What the other modules see of the weighing. */
export interface WeighingResult {
  /** The last reading with a weight, zero subtracted. */
  reading: { kg: number; at: number } | null;
  /** A reading arrived within the stale time and the link is up. */
  fresh: boolean;
  /** Zero is known: crate seen empty and steady near the last zero, or a person said so. */
  zeroKnown: boolean;
  /** Loading and emptying thresholds differ; `unknown` until a first fresh reading. */
  occupancy: 'unknown' | 'empty' | 'loaded';
  /** First reading over the loading threshold of the load that is on now. */
  enteredAt: number | null;
  estimate: Estimate | null;
  oddities: Oddity[];
}

/** What the weighing is told of the contacts, on every step. */
export interface WeighingContacts {
  /** The front is shut by its raw level; true where no front contact is fitted. */
  frontShut: boolean;
  /** The front has just been proved shut again: what is on now is another load. */
  frontProvedShut: boolean;
  /** Weight counts: hands off and back shut, where such contacts are fitted. */
  weightCounts: boolean;
}

/** The inputs that the weighing acts on; everything else only passes time. */
export type WeighingInput =
  | ReadingInput
  | { t: number; zero: true }
  | { t: number; crateEmpty: true }
  | { t: number; link: 'scale'; up: boolean }
  | { t: number };
