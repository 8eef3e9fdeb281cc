/**
 * One load on the crate: which of its readings belong to the whole weight, and what they say.
 *
 * Weight that comes on, or a person who leans, changes the level; a body that moves does not: the
 * momentum it can gain is bounded. So readings that leave the level are kept apart until their
 * excess adds up to more momentum than a body on its feet can have, and only then are a new level.
 */
import { addBlock, emptyBank, posterior } from './bank.ts';
import type { Bank, Posterior, ScatterPrior } from './bank.ts';
import { expectedScatterKg, partialProbability, secondAnimalOdds } from './flock.ts';
import type { Flock } from './flock.ts';
import type { WeighingConfig } from './result.ts';
import { addReading, emptyWindow, readingsPerBlock } from './window.ts';
import type { Window } from './window.ts';

/** Blocks at one level. */
export interface Level {
  bank: Bank;
  found: Posterior;
  /** Blocks from its first to its last, those kept apart included. */
  span: number;
}

/** A later start for the level, run beside it to see whether it explains the readings better. */
export interface Rival {
  level: Level;
  /** Evidence of the level when this one began. */
  evidence: number;
}

export interface Load {
  window: Window;
  /** The level that is taken for the weight; null before the first block. */
  level: Level | null;
  /** Readings that have left the level, not yet known to be a new one. */
  away: Level | null;
  /** The blocks of `away`, at most as many as the window has. */
  kept: { kg: number; steps: number }[];
  rivals: Rival[];
  /** Blocks until the next rival begins. */
  untilRival: number;
  /** Level before the last rise, and how many blocks it had; 0 where there was none. */
  beforeKg: number;
  beforeSpan: number;
  /** Probability that more is still to come on. */
  partial: number;
  leaning: boolean;
  two: boolean;
}

export function emptyLoad(): Load {
  return {
    window: emptyWindow(),
    level: null,
    away: null,
    kept: [],
    rivals: [],
    untilRival: RIVAL_EVERY,
    beforeKg: 0,
    beforeSpan: 0,
    partial: 1,
    leaning: false,
    two: false,
  };
}

/** Off the level by more than this many times the scatter: kept apart. */
const APART = 5;
/** A level of fewer blocks than this has not yet shown how much the animal moves. */
const YOUNG_BLOCKS = 3;
/** A rival begins every so many blocks, and has so many to show itself better. */
const RIVAL_EVERY = 3;
const RIVAL_BLOCKS = 10;
/** Gain in evidence at which a rival takes over; pays for its free level and for looking often. */
const RIVAL_GAIN = 6;
/** Momentum in seconds of weight (0.1 s: a speed of about 1 m/s). */
const MOST_MOMENTUM_S = 0.1;
/** The same downwards, where an animal may jump and land. */
const MOST_MOMENTUM_DOWN_S = 0.3;
/** A level of fewer blocks may well be a stage of coming on: less is asked of a rise. */
const OLD_BLOCKS = 8;
/** A new level that is larger by less than this share is somebody leaning, not an animal. */
const LEANING_SHARE = 0.3;

function priorFor(config: WeighingConfig, flock: Flock, kg: number): ScatterPrior {
  const share = expectedScatterKg(flock, kg);
  return {
    scatterKg: Math.sqrt(share * share + (config.divisionKg * config.divisionKg) / 12),
    degrees: 3,
  };
}

/** Seconds in a block. */
export function blockSecondsOf(config: WeighingConfig): number {
  return readingsPerBlock(config.rateHz) / config.rateHz;
}

function joinLevel(
  config: WeighingConfig,
  flock: Flock,
  level: Level | null,
  kg: number,
  steps: number,
  wide = 1,
): Level {
  const seconds = blockSecondsOf(config);
  const bank = addBlock(level?.bank ?? emptyBank(seconds, kg), seconds, kg, steps, wide);
  const prior = priorFor(config, flock, level?.found.kg ?? kg);
  return {
    bank,
    found: posterior(bank, seconds, prior),
    span: (level?.span ?? 0) + (level ? steps : 1),
  };
}

/** Takes one reading of the load. */
export function addToLoad(
  config: WeighingConfig,
  flock: Flock,
  load: Load,
  kg: number,
  lostSteps: number,
  zeroKg: number,
): Load {
  const added = addReading(load.window, kg, lostSteps, readingsPerBlock(config.rateHz));
  if (!added.full) return { ...load, window: added.window };
  const n = added.window.mean.length;
  const block = (added.window.mean[n - 1] ?? kg) - zeroKg;
  const steps = added.window.step[n - 1] ?? 1;
  const taken = takeBlock(config, flock, { ...load, window: added.window }, block, steps);
  const next = runRivals(config, flock, taken, block, steps);
  return { ...next, partial: partialOf(config, flock, next) };
}

function takeBlock(
  config: WeighingConfig,
  flock: Flock,
  load: Load,
  kg: number,
  steps: number,
): Load {
  const { level, away } = load;
  if (level === null) return { ...load, level: joinLevel(config, flock, null, kg, 1) };
  const off = kg - level.found.kg;
  const apart = Math.abs(off) > reachOf(config, level);
  const back = away !== null && Math.abs(off) > 0.6 * reachOf(config, level);
  if ((!apart && !back) || (off < 0 && level.bank.count < YOUNG_BLOCKS && away === null)) {
    return backToLevel(config, flock, load, kg, steps);
  }
  if (off > 0 && level.bank.count < YOUNG_BLOCKS && away === null) {
    return newLevel(load, joinLevel(config, flock, null, kg, 1));
  }
  const kept = [...load.kept, { kg, steps }];
  const climbing =
    away !== null && away.bank.count < YOUNG_BLOCKS && kg - away.found.kg > reachOf(config, away);
  const joined = joinLevel(config, flock, climbing ? null : away, kg, climbing ? 1 : steps);
  const next = { ...load, away: { ...joined, span: (away?.span ?? 0) + steps }, kept };
  return isNewLevel(config, level, next.away) ? resolve(config, flock, next, next.away) : next;
}

/** Runs the rivals on by one block, begins one now and then, and lets a better one take over. */
function runRivals(
  config: WeighingConfig,
  flock: Flock,
  load: Load,
  kg: number,
  steps: number,
): Load {
  if (load.level === null || load.level.span < 2) return load;
  const rivals = load.rivals
    .map((rival) => ({ ...rival, level: joinLevel(config, flock, rival.level, kg, steps) }))
    .filter((rival) => rival.level.span <= RIVAL_BLOCKS);
  const begin = load.untilRival <= 1;
  const untilRival = begin ? RIVAL_EVERY : load.untilRival - 1;
  const better =
    load.away === null ? rivals.find((rival) => takesOver(config, load, rival)) : undefined;
  if (better !== undefined) {
    const { level } = load;
    const differs =
      Math.abs(better.level.found.kg - level.found.kg) > LEANING_SHARE * level.found.kg;
    if (differs) return resolve(config, flock, load, better.level);
    return { ...load, level: better.level, rivals: [], untilRival: RIVAL_EVERY };
  }
  if (begin) {
    const fresh = joinLevel(config, flock, null, kg, 1);
    rivals.push({ level: fresh, evidence: load.level.found.evidence });
  }
  return { ...load, rivals, untilRival };
}

/** The rival explains what came since its start so much better that the start is believed. */
function takesOver(config: WeighingConfig, load: Load, rival: Rival): boolean {
  const { level } = load;
  if (level === null || rival.level.bank.count < 5) return false;
  const gain = rival.level.found.evidence - (level.found.evidence - rival.evidence);
  if (gain < RIVAL_GAIN) return false;
  const off = rival.level.found.kg - level.found.kg;
  const scale = Math.sqrt(
    rival.level.found.scaleKg * rival.level.found.scaleKg +
      level.found.scaleKg * level.found.scaleKg,
  );
  return Math.abs(off) < 3 * scale
    ? rival.level.found.scaleKg < level.found.scaleKg
    : isNewLevel(config, level, rival.level);
}

function reachOf(config: WeighingConfig, level: Level): number {
  return Math.max(APART * level.found.scatterKg, 4 * config.divisionKg);
}

/** Those kept apart were movement after all: they count, each as widely as it was off. */
function backToLevel(
  config: WeighingConfig,
  flock: Flock,
  load: Load,
  kg: number,
  steps: number,
): Load {
  let { level } = load;
  const usual = 0.5 * APART * (level?.found.scatterKg ?? 1);
  for (const one of load.kept) {
    const off = (one.kg - (level?.found.kg ?? one.kg)) / usual;
    level = joinLevel(config, flock, level, one.kg, one.steps, Math.max(1, off * off));
  }
  level = joinLevel(config, flock, level, kg, steps);
  return { ...load, level, away: null, kept: [], leaning: false };
}

/** More momentum than a body can have, and a difference that the scatter does not explain. */
function isNewLevel(config: WeighingConfig, level: Level, away: Level): boolean {
  const off = away.found.kg - level.found.kg;
  const young = Math.min(1, level.span / OLD_BLOCKS);
  const most = off > 0 ? MOST_MOMENTUM_S * young : MOST_MOMENTUM_DOWN_S;
  const seconds = away.span * blockSecondsOf(config);
  const scale = Math.sqrt(
    away.found.scaleKg * away.found.scaleKg + level.found.scaleKg * level.found.scaleKg,
  );
  return (
    away.bank.count >= 3 &&
    (Math.abs(off) * seconds) / Math.max(1, level.found.kg) > most &&
    Math.abs(off) > 3 * scale
  );
}

/** A new level is there: the rest of the animal, a second one, or somebody leaning. */
function resolve(config: WeighingConfig, flock: Flock, load: Load, away: Level): Load {
  const { level } = load;
  if (level === null) return load;
  const before = level.found.kg;
  const share = Math.abs(away.found.kg - before) / Math.max(1, before);
  if (share < LEANING_SHARE && level.span >= 5) {
    if (config.clamp || away.span > Math.max(30, 2 * level.span)) return newLevel(load, away);
    return { ...load, leaning: !config.clamp };
  }
  const rise = away.found.kg > before;
  const standing = level.span * blockSecondsOf(config) >= 1 && share > LEANING_SHARE;
  const two = rise && standing && secondAnimalOdds(flock, before, away.found.kg) > 1;
  return { ...newLevel(load, away), two: load.two ? rise || !two : two };
}

function newLevel(load: Load, level: Level): Load {
  const before = load.level;
  return {
    ...load,
    level,
    away: null,
    kept: [],
    rivals: [],
    untilRival: RIVAL_EVERY,
    leaning: false,
    beforeKg: before?.found.kg ?? 0,
    beforeSpan: before?.span ?? 0,
  };
}

/** Probability that the level is not yet the whole animal. */
function partialOf(config: WeighingConfig, flock: Flock, load: Load): number {
  const { level, away } = load;
  if (level === null) return 1;
  if (away !== null && away.found.kg > level.found.kg) return 0.5;
  const share = load.beforeKg / level.found.kg;
  const rose = load.beforeSpan >= 2 && share > 0.42 && share < 0.72;
  return partialProbability(flock, level.found.kg, level.span * blockSecondsOf(config), rose);
}

/** The load paused with the front feet on before it came on whole. */
export function pausedOnFront(config: WeighingConfig, load: Load): boolean {
  const share = load.beforeKg / (load.level?.found.kg ?? 1);
  return load.beforeSpan * blockSecondsOf(config) >= 0.5 && share > 0.42 && share < 0.72;
}
