/**
 * Weighing: readings to an estimate with its uncertainty, steady or not, zero, what looks wrong.
 * docs/weighing.md derives the estimate.
 */
import type { ReadingInput } from '../trace.ts';
import { estimateOf } from './estimate.ts';
import { initialFlock, learnAnimal } from './flock.ts';
import type { Flock } from './flock.ts';
import { sceneOf } from './level.ts';
import { addToLoad, emptyLoad, seenOf } from './load.ts';
import type { Load } from './load.ts';
import type {
  Estimate,
  Oddity,
  WeighingConfig,
  WeighingContacts,
  WeighingInput,
  WeighingResult,
} from './result.ts';
import { askZero, breakRun, initialZero, lookAtEmpty, zeroVariance } from './zero.ts';
import type { Zero } from './zero.ts';

export interface WeighingState {
  /** Arrival of the last line of the weigh head, with a weight or without. */
  heardAt: number | null;
  /** Arrival and value of the last reading with a weight, as sent. */
  readAt: number | null;
  rawKg: number;
  linkUp: boolean;
  /** Time between readings, learnt, ms. */
  periodMs: number;
  zero: Zero;
  occupancy: WeighingResult['occupancy'];
  enteredAt: number | null;
  load: Load;
  /** The front is or was open: the load is leaving and the estimate stays as it was. */
  leaving: boolean;
  estimate: Estimate | null;
  /** What the last line itself said was wrong. */
  lineOddity: Oddity | null;
  flock: Flock;
}

/** The state before anything was heard. */
export function initial(config: WeighingConfig): WeighingState {
  return {
    heardAt: null,
    readAt: null,
    rawKg: 0,
    linkUp: true,
    periodMs: 1000 / config.rateHz,
    zero: initialZero(),
    occupancy: 'unknown',
    enteredAt: null,
    load: emptyLoad(),
    leaving: false,
    estimate: null,
    lineOddity: null,
    flock: initialFlock(),
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

/** The load has gone: learns from it and forgets it. */
function endLoad(config: WeighingConfig, state: WeighingState): WeighingState {
  const { load, flock } = state;
  const { level } = load;
  if (level === null && load.window.part.count === 0) return state;
  const ended = { ...state, load: emptyLoad(), estimate: null };
  const good =
    level !== null &&
    state.zero.known &&
    !load.two &&
    !load.leaning &&
    load.toCome.half < 0.1 &&
    level.bank.count >= 8 &&
    level.found.scaleKg < 0.03 * level.found.kg;
  if (!good) return ended;
  const seen = seenOf(sceneOf(config, flock), load, level, state.zero.kg);
  return { ...ended, flock: learnAnimal(flock, level.found.kg, seen) };
}

function takeContacts(
  config: WeighingConfig,
  state: WeighingState,
  contacts: WeighingContacts,
): WeighingState {
  if (contacts.frontProvedShut && state.leaving) {
    const learnt = endLoad(config, state);
    return { ...learnt, leaving: false, enteredAt: null };
  }
  if (!contacts.frontShut && !state.leaving) return { ...state, leaving: true };
  return state;
}

function takeReading(
  config: WeighingConfig,
  state: WeighingState,
  input: ReadingInput,
  contacts: WeighingContacts,
): WeighingState {
  const heard = { ...state, heardAt: input.t, linkUp: true };
  const { kg } = input;
  if (kg === null || !(Math.abs(kg) < 1e6) || input.status !== undefined) {
    return { ...heard, lineOddity: oddityOfLine(input), zero: breakRun(state.zero) };
  }
  const steps = readingsSince(state, input.t);
  const read = {
    ...heard,
    readAt: input.t,
    rawKg: kg,
    lineOddity: oddityOfWeight(config, state, kg),
  };
  return takeWeight(config, read, kg, steps, input.t, contacts);
}

function oddityOfLine(input: ReadingInput): Oddity {
  if (input.status === 'over') return 'overload';
  if (input.status === 'under') return 'negative';
  return 'weigh-head-error';
}

function oddityOfWeight(config: WeighingConfig, state: WeighingState, kg: number): Oddity | null {
  if (kg > config.maxKg + 9 * config.divisionKg) return 'overload';
  if (kg - state.zero.kg < -Math.max(1, 10 * config.divisionKg)) return 'negative';
  return null;
}

/** Readings since the last one, by the learnt period: more than 1 where some were lost. */
function readingsSince(state: WeighingState, t: number): number {
  if (state.readAt === null) return 1;
  return Math.min(1000, Math.max(1, Math.round((t - state.readAt) / state.periodMs)));
}

function takeWeight(
  config: WeighingConfig,
  state: WeighingState,
  kg: number,
  steps: number,
  t: number,
  contacts: WeighingContacts,
): WeighingState {
  const net = kg - state.zero.kg;
  const loaded = state.occupancy === 'loaded' ? net >= config.emptyKg : net > config.loadingKg;
  if (!loaded) return takeUnloaded(config, state, kg);
  const entered = state.enteredAt === null && net > config.loadingKg ? t : state.enteredAt;
  const on = { ...state, occupancy: 'loaded' as const, enteredAt: entered };
  if (state.leaving || !contacts.frontShut || !contacts.weightCounts) return on;
  const scene = sceneOf(config, state.flock);
  const load = addToLoad(scene, state.load, kg, steps, state.zero.kg);
  const estimate = estimateOf(scene, load, zeroVariance(config, state.zero));
  return { ...on, load, estimate, zero: breakRun(state.zero) };
}

function takeUnloaded(config: WeighingConfig, state: WeighingState, kg: number): WeighingState {
  const zero = lookAtEmpty(config, state.zero, kg, state.periodMs / 1000);
  const net = kg - zero.kg;
  const empty = net < config.emptyKg;
  return {
    ...endLoad(config, state),
    zero,
    occupancy: empty || state.occupancy === 'unknown' ? 'empty' : state.occupancy,
    enteredAt: null,
    estimate: null,
  };
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
    oddities: odditiesOf(state, fresh),
  };
}

function odditiesOf(state: WeighingState, fresh: boolean): Oddity[] {
  const found: Oddity[] = [];
  if (state.lineOddity !== null) found.push(state.lineOddity);
  if (state.occupancy === 'loaded' && !state.zero.known) found.push('zero-unknown');
  if (state.occupancy === 'loaded' && !fresh) found.push('readings-late');
  if (state.load.leaning) found.push('leaning');
  if (state.load.two) found.push('two-animals');
  const span = state.estimate?.spanMs ?? 0;
  if (state.load.toCome.half > 0.5 && span >= 1000) found.push('front-feet-only');
  return found;
}
