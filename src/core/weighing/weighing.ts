/**
 * Weighing: readings to an estimate with its uncertainty, steady or not, zero, what looks wrong.
 * docs/weighing.md derives the estimate.
 */
import type { ReadingInput } from '../trace.ts';
import { estimateOf } from './estimate.ts';
import { initialFlock, learnAnimal } from './flock.ts';
import type { Flock } from './flock.ts';
import { sceneOf } from './level.ts';
import type { Scene } from './level.ts';
import { addToLoad, emptyLoad, seenOf } from './load.ts';
import type { Load } from './load.ts';
import { odditiesOf, oddityOfLine, oddityOfWeight } from './oddities.ts';
import { initialPeriod, takeArrival } from './period.ts';
import type { Period } from './period.ts';
import type {
  Estimate,
  Oddity,
  WeighingConfig,
  WeighingContacts,
  WeighingInput,
  WeighingResult,
} from './result.ts';
import { readingsPerBlock } from './window.ts';
import { askZero, breakRun, initialZero, lookAtEmpty, zeroVariance } from './zero.ts';
import type { Zero } from './zero.ts';

export interface WeighingState {
  /** Arrival of the last line of the weigh head, with a weight or without. */
  heardAt: number | null;
  /** Arrival and value of the last reading with a weight, as sent. */
  readAt: number | null;
  rawKg: number;
  linkUp: boolean;
  period: Period;
  zero: Zero;
  occupancy: WeighingResult['occupancy'];
  enteredAt: number | null;
  load: Load;
  /** The front is or was open: the load is leaving and the estimate stays as it was. */
  leaving: boolean;
  /** Readings since the last that was taken into the load. */
  skipped: number;
  estimate: Estimate | null;
  /** What the last line itself said was wrong. */
  lineOddity: Oddity | null;
  /** The last reading was older than the one before. */
  disordered: boolean;
  /** Readings in a row of the same value. */
  sameCount: number;
  flock: Flock;
}

/** The state before anything was heard. */
export function initial(config: WeighingConfig): WeighingState {
  return {
    heardAt: null,
    readAt: null,
    rawKg: 0,
    linkUp: true,
    period: initialPeriod(config.rateHz),
    zero: initialZero(),
    occupancy: 'unknown',
    enteredAt: null,
    load: emptyLoad(),
    leaving: false,
    skipped: 0,
    estimate: null,
    lineOddity: null,
    disordered: false,
    sameCount: 0,
    flock: initialFlock(),
  };
}

/** Field by field: the engine copies so many times quicker than by a spread, and this is each step. */
function copyOf(state: WeighingState): WeighingState {
  return {
    heardAt: state.heardAt,
    readAt: state.readAt,
    rawKg: state.rawKg,
    linkUp: state.linkUp,
    period: state.period,
    zero: state.zero,
    occupancy: state.occupancy,
    enteredAt: state.enteredAt,
    load: state.load,
    leaving: state.leaving,
    skipped: state.skipped,
    estimate: state.estimate,
    lineOddity: state.lineOddity,
    disordered: state.disordered,
    sameCount: state.sameCount,
    flock: state.flock,
  };
}

/** One step of the weighing; called for every input of the core, cheap where it is no reading. */
export function weigh(
  config: WeighingConfig,
  state: WeighingState,
  input: WeighingInput,
  contacts: WeighingContacts,
): { state: WeighingState; result: WeighingResult } {
  let next = takeContacts(config, state, contacts);
  if ('kg' in input) next = takeReading(config, next, input, contacts);
  else if ('link' in input) next = { ...next, linkUp: input.up };
  else if ('zero' in input || 'crateEmpty' in input) next = { ...next, zero: askZero(next.zero) };
  return { state: next, result: resultOf(config, next, input.t) };
}

/** The front opens: the load is leaving. It is proved shut again: what is on now is another. */
function takeContacts(
  config: WeighingConfig,
  state: WeighingState,
  contacts: WeighingContacts,
): WeighingState {
  if (contacts.frontProvedShut) {
    return { ...endLoad(config, state), leaving: false, enteredAt: null };
  }
  if (!contacts.frontShut && !state.leaving) return { ...state, leaving: true };
  return state;
}

/** The load has gone: learns from it and forgets it. */
function endLoad(config: WeighingConfig, state: WeighingState): WeighingState {
  const { load, flock, zero } = state;
  const { level } = load;
  if (level === null && load.window.part.count === 0) return state;
  const ended = { ...state, load: emptyLoad(), estimate: null, skipped: 0 };
  const good =
    level !== null &&
    zero.known &&
    !load.two &&
    !load.leaning &&
    load.toCome.half < 0.1 &&
    level.bank.count >= 8 &&
    level.found.scaleKg < 0.03 * level.found.kg;
  if (!good) return ended;
  const seen = seenOf(sceneFor(config, state), load, level, zero.kg);
  return { ...ended, flock: learnAnimal(flock, level.found.kg, seen) };
}

function sceneFor(config: WeighingConfig, state: WeighingState): Scene {
  return sceneOf(config, state.flock, state.period.ms);
}

function takeReading(
  config: WeighingConfig,
  state: WeighingState,
  input: ReadingInput,
  contacts: WeighingContacts,
): WeighingState {
  const read = copyOf(state);
  read.heardAt = input.t;
  read.linkUp = true;
  const { kg } = input;
  if (kg === null || !(Math.abs(kg) < 1e6) || input.status !== undefined) {
    read.lineOddity = oddityOfLine(input);
    read.zero = breakRun(state.zero);
    return read;
  }
  const { period, steps } = takeArrival(state.period, input.t);
  read.readAt = input.t;
  read.rawKg = kg;
  read.period = period;
  read.lineOddity = oddityOfWeight(config, state.zero.kg, kg);
  read.disordered = state.readAt !== null && input.t < state.readAt;
  read.sameCount = kg === state.rawKg ? Math.min(state.sameCount + steps, 1e6) : 0;
  if (steps * period.ms > config.staleMs) read.zero = breakRun(state.zero);
  return read.lineOddity === 'overload' ? read : takeWeight(config, read, steps, contacts);
}

function takeWeight(
  config: WeighingConfig,
  read: WeighingState,
  steps: number,
  contacts: WeighingContacts,
): WeighingState {
  const kg = read.rawKg;
  const net = kg - read.zero.kg;
  const loaded = read.occupancy === 'loaded' ? net >= config.emptyKg : net > config.loadingKg;
  if (!loaded || read.zero.asked) return takeUnloaded(config, read);
  const on = copyOf(read);
  on.occupancy = 'loaded';
  on.enteredAt = read.enteredAt ?? (net > config.loadingKg ? read.readAt : null);
  on.skipped = read.skipped + steps;
  on.zero = breakRun(read.zero);
  if (!contacts.frontShut || !contacts.weightCounts) return on;
  if (read.leaving && !unchanged(config, read, net)) return on;
  const scene = sceneFor(config, read);
  on.load = addToLoad(scene, read.load, kg, on.skipped, read.zero.kg);
  on.estimate = estimateOf(scene, on.load, zeroVariance(config, read.zero));
  on.leaving = false;
  on.skipped = 0;
  return on;
}

/** The front opened for a moment only, and the load is the same as before. */
function unchanged(config: WeighingConfig, state: WeighingState, net: number): boolean {
  const { level } = state.load;
  if (level === null) return false;
  const reach = Math.max(3 * level.found.scatterKg, 3 * config.divisionKg);
  return Math.abs(net - level.found.kg) <= reach;
}

function takeUnloaded(config: WeighingConfig, state: WeighingState): WeighingState {
  const zero = lookAtEmpty(config, state.zero, state.rawKg, state.period.ms / 1000);
  const next = copyOf(endLoad(config, state));
  next.zero = zero;
  next.occupancy = 'empty';
  next.enteredAt = null;
  next.leaving = false;
  return next;
}

function resultOf(config: WeighingConfig, state: WeighingState, t: number): WeighingResult {
  const { readAt, heardAt } = state;
  const fresh = state.linkUp && heardAt !== null && t - heardAt <= config.staleMs;
  return {
    reading: readAt === null ? null : { kg: state.rawKg - state.zero.kg, at: readAt },
    fresh,
    zeroKnown: state.zero.known,
    occupancy: state.occupancy,
    enteredAt: state.enteredAt,
    estimate: state.estimate,
    oddities: odditiesOf(config, state, fresh, blockMsOf(config, state)),
  };
}

/** Length of a block by the learnt period, ms. */
function blockMsOf(config: WeighingConfig, state: WeighingState): number {
  return readingsPerBlock(config.rateHz) * state.period.ms;
}
