/**
 * One load on the crate: which of its readings belong to the whole weight, and what they say.
 *
 * Weight that comes on, or a person who leans, changes the level; a body that moves does not: the
 * momentum it can gain is bounded. So readings that leave the level are kept apart until their
 * excess adds up to more momentum than a body on its feet can have, and only then are a new level.
 */
import { secondAnimalOdds, toCome } from './flock.ts';
import type { Seen, ToCome } from './flock.ts';
import { learnWeights } from './bank.ts';
import { beginLevel, isNewLevel, joinLevel, priorOf, reachOf, scaleOfDifference } from './level.ts';
import type { Level, Scene } from './level.ts';
import { addReading, emptyWindow, readingsPerBlock } from './window.ts';
import type { Window } from './window.ts';

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
  /** Readings that have left the level, not yet known to be a new one, and their blocks. */
  away: Level | null;
  kept: { kg: number; steps: number }[];
  rivals: Rival[];
  /** Blocks until the next rival begins. */
  untilRival: number;
  /** Level before the last rise, and how many blocks it had; 0 where there was none. */
  beforeKg: number;
  beforeSpan: number;
  toCome: ToCome;
  leaning: boolean;
  two: boolean;
  /** The level came at once, with nothing between, from one that had stood. */
  jumped: boolean;
}

/** A level of fewer blocks than this has not yet shown how much the animal moves. */
const YOUNG_BLOCKS = 3;
/** Blocks for which an animal counts as having just come on. */
const EARLY_BLOCKS = 8;
/** Most blocks that are remembered while apart. */
const MOST_KEPT = 40;
/** A rival begins every so many blocks, and has so many to show itself better. */
const RIVAL_EVERY = 3;
const RIVAL_BLOCKS = 10;
/** Gain in evidence at which a rival takes over; pays for its free level and for looking often. */
const RIVAL_GAIN = 6;
/** A new level that differs by less than this share is somebody leaning, not an animal. */
const LEANING_SHARE = 0.3;
/** A level of more blocks is no longer looked at for a climb. */
const RISING_BLOCKS = 12;
/** The share that the front feet carry lies in this range. */
const FRONT_LEAST = 0.42;
const FRONT_MOST = 0.72;

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
    toCome: { half: 1, foot: 0 },
    leaning: false,
    two: false,
    jumped: false,
  };
}

/** Field by field: the engine copies so many times quicker than by a spread, and this is each step. */
function copyOf(load: Load): Load {
  return {
    window: load.window,
    level: load.level,
    away: load.away,
    kept: load.kept,
    rivals: load.rivals,
    untilRival: load.untilRival,
    beforeKg: load.beforeKg,
    beforeSpan: load.beforeSpan,
    toCome: load.toCome,
    leaning: load.leaning,
    two: load.two,
    jumped: load.jumped,
  };
}

/**
 * Takes one reading of the load.
 * @param steps readings since the one before: 1, more where readings were lost.
 */
export function addToLoad(
  scene: Scene,
  load: Load,
  kg: number,
  steps: number,
  zeroKg: number,
): Load {
  const added = addReading(load.window, kg, steps, readingsPerBlock(scene.config.rateHz));
  const begun = copyOf(load);
  begun.window = added.window;
  if (!added.full) return begun;
  const last = added.window.mean.length - 1;
  const block = (added.window.mean[last] ?? kg) - zeroKg;
  const blocks = added.window.step[last] ?? 1;
  const taken = takeBlock(scene, begun, block, blocks);
  const next = copyOf(runRivals(scene, taken, block, blocks));
  next.toCome = toComeOf(scene, next, block);
  return next;
}

function takeBlock(scene: Scene, load: Load, kg: number, steps: number): Load {
  const { level, away } = load;
  if (level === null) return { ...load, level: beginLevel(scene, kg, true) };
  const off = kg - level.found.kg;
  const reach = reachOf(scene, level);
  if (away === null && level.bank.count < YOUNG_BLOCKS && off > reach) {
    return newLevel(load, beginLevel(scene, kg, true));
  }
  const young = away === null && level.bank.count < YOUNG_BLOCKS;
  // A level that is itself not well known does not say that a reading is off it.
  const near = Math.max(away === null ? reach : 0.6 * reach, 3 * level.found.scaleKg);
  if (young || Math.abs(off) <= near) {
    return backToLevel(scene, load, kg, steps);
  }
  const next = { ...load, ...keepApart(scene, load, kg, steps) };
  return isNewLevel(scene, level, next.away) ? resolve(scene, next, next.away) : next;
}

/** One more block away from the level; while they still climb, only the newest counts. */
function keepApart(
  scene: Scene,
  load: Load,
  kg: number,
  steps: number,
): { away: Level; kept: Load['kept'] } {
  const { away } = load;
  const climbing =
    away === null || (away.bank.count < YOUNG_BLOCKS && kg - away.found.kg > reachOf(scene, away));
  const joined = climbing ? beginLevel(scene, kg, true) : joinLevel(scene, away, kg, steps);
  return {
    away: { ...joined, span: (away?.span ?? 0) + steps },
    kept: [...load.kept, { kg, steps }].slice(-MOST_KEPT),
  };
}

/** Those kept apart were movement after all: they count, each as widely as it was off. */
function backToLevel(scene: Scene, load: Load, kg: number, steps: number): Load {
  let { level } = load;
  if (level === null) return load;
  const usual = 0.5 * reachOf(scene, level);
  for (const one of load.kept) {
    const off = (one.kg - level.found.kg) / usual;
    level = joinLevel(scene, level, one.kg, one.steps, Math.max(1, off * off));
  }
  level = joinLevel(scene, level, kg, steps);
  const next = copyOf(load);
  next.level = level;
  next.away = null;
  next.kept = [];
  next.leaning = false;
  return next;
}

/** Runs the rivals on by one block, begins one now and then, and lets a better one take over. */
function runRivals(scene: Scene, load: Load, kg: number, steps: number): Load {
  const { level } = load;
  if (level === null || level.span < 2) return load;
  const rivals = load.rivals
    .filter((rival) => rival.level.span + steps <= RIVAL_BLOCKS)
    .map(({ level: own, evidence }) => ({ level: joinLevel(scene, own, kg, steps), evidence }));
  const better =
    load.away === null ? rivals.find((rival) => takesOver(scene, level, rival)) : undefined;
  if (better !== undefined) return takeOver(scene, load, level, better.level);
  const next = copyOf(load);
  next.rivals = rivals;
  next.untilRival = load.untilRival > 1 ? load.untilRival - 1 : RIVAL_EVERY;
  if (load.untilRival > 1) return next;
  const fresh = beginLevel(scene, kg, level.early && level.span < EARLY_BLOCKS);
  rivals.push({ level: fresh, evidence: level.found.evidence });
  return next;
}

/** The rival explains what came since its start so much better that the start is believed. */
function takesOver(scene: Scene, level: Level, rival: Rival): boolean {
  if (rival.level.bank.count < 5) return false;
  const gain = rival.level.found.evidence - (level.found.evidence - rival.evidence);
  if (gain < RIVAL_GAIN) return false;
  const off = rival.level.found.kg - level.found.kg;
  return Math.abs(off) < 3 * scaleOfDifference(level, rival.level)
    ? rival.level.found.scaleKg < level.found.scaleKg
    : isNewLevel(scene, level, rival.level);
}

function takeOver(scene: Scene, load: Load, level: Level, better: Level): Load {
  const off = Math.abs(better.found.kg - level.found.kg);
  if (off > LEANING_SHARE * level.found.kg) return resolve(scene, load, better);
  const kept = { ...better, span: level.span };
  return { ...load, level: kept, rivals: [], untilRival: RIVAL_EVERY };
}

/** A new level is there: the rest of the animal, a second one, or somebody leaning. */
function resolve(scene: Scene, load: Load, away: Level): Load {
  const { level } = load;
  if (level === null) return load;
  const before = level.found.kg;
  const share = Math.abs(away.found.kg - before) / Math.max(1, before);
  const { clamp } = scene.config;
  if (share < LEANING_SHARE && level.span >= EARLY_BLOCKS) {
    if (clamp || away.span > Math.max(30, 2 * level.span)) return newLevel(load, away);
    return { ...load, leaning: true };
  }
  const rise = away.found.kg > before;
  const seconds = level.span * scene.seconds;
  const standing = seconds >= 1 && share > LEANING_SHARE;
  const odds = standing ? secondAnimalOdds(scene.flock, before, seconds, away.found.kg) : 0;
  const two = odds > 1;
  return { ...newLevel(load, away), two: rise && (load.two || two) };
}

function newLevel(load: Load, level: Level): Load {
  const before = load.level;
  return {
    ...load,
    // What was said of the level before does not hold for the new one.
    two: false,
    level: { ...level, span: level.bank.count },
    away: null,
    kept: [],
    rivals: [],
    untilRival: RIVAL_EVERY,
    leaning: false,
    beforeKg: before?.found.kg ?? 0,
    beforeSpan: before?.span ?? 0,
    jumped: (before?.bank.count ?? 0) >= 5 && level.bank.count === level.span,
  };
}

/** The level before the last rise was what front feet carry. */
function roseFromFront(load: Load): boolean {
  const share = load.beforeKg / Math.max(1, load.level?.found.kg ?? 1);
  return share > FRONT_LEAST && share < FRONT_MOST;
}

/** Probability that the level is not yet the whole animal. */
function toComeOf(scene: Scene, load: Load, latestKg: number): ToCome {
  const { level, away } = load;
  if (level === null) return { half: 1, foot: 0 };
  const before = roseFromFront(load) ? load.beforeSpan * scene.seconds : 0;
  const found = toCome(scene.flock, level.found.kg, level.span * scene.seconds, before);
  const rising = away === null ? climbs(load, latestKg) : away.found.kg > level.found.kg;
  return rising ? { half: Math.max(0.5, found.half), foot: 0.5 } : found;
}

/** A level not long begun, whose newest block is its highest, well above it. */
function climbs(load: Load, latestKg: number): boolean {
  const { level } = load;
  if (level === null || level.span < 2 || level.span > RISING_BLOCKS) return false;
  const blocks = load.window.mean.slice(-level.span);
  const highest = Math.max(...blocks) <= (blocks.at(-1) ?? 0);
  return highest && latestKg - level.found.kg > level.found.scatterKg;
}

/** What a load taught of how its animal moved, once it has ended. */
export function seenOf(scene: Scene, load: Load, level: Level, zeroKg: number): Seen {
  const { kg, scatterKg } = level.found;
  const paused = load.beforeSpan * scene.seconds >= 0.5 && roseFromFront(load);
  const share = 1 / (Math.min(30, scene.flock.animals) + 10);
  const weights = learnWeights(level.bank, scene.seconds, priorOf(scene, kg, level.early), share);
  const rest = { lateKg: scatterKg, paused, weights };
  const first = load.window.mean.findIndex((mean) => mean - zeroKg > 0.92 * kg);
  const early = load.window.mean.slice(first + 1, first + 6);
  if (first < 1 || early.length < 5) return { earlyKg: 0, ...rest };
  const square = early.reduce((sum, mean) => sum + (mean - zeroKg - kg) * (mean - zeroKg - kg), 0);
  return { earlyKg: Math.sqrt(square / early.length), ...rest };
}
