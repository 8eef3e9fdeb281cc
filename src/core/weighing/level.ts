/** Blocks that are all at one level of the load, and what they say of it. */
import { addBlock, emptyBank, posterior } from './bank.ts';
import type { Bank, Posterior, ScatterPrior } from './bank.ts';
import { expectedScatterKg } from './flock.ts';
import type { Flock } from './flock.ts';
import type { WeighingConfig } from './result.ts';
import { readingsPerBlock } from './window.ts';

export interface Level {
  bank: Bank;
  found: Posterior;
  /** Blocks that the load has been at this level, those kept apart included. */
  span: number;
  /** Began while the animal had only just come on, when it moves most. */
  early: boolean;
}

/** What every step about a level needs. */
export interface Scene {
  config: WeighingConfig;
  flock: Flock;
  /** Seconds in a block by the nominal rate, for the models. */
  seconds: number;
  /** Its length by the learnt period, ms. */
  blockMs: number;
}

/** @param periodMs learnt time between readings. */
export function sceneOf(config: WeighingConfig, flock: Flock, periodMs: number): Scene {
  const perBlock = readingsPerBlock(config.rateHz);
  return { config, flock, seconds: perBlock / config.rateHz, blockMs: perBlock * periodMs };
}

/** Off the level by more than this many times the scatter: kept apart. */
const APART = 5;
/** How many blocks the expected scatter counts for: before any animal was seen, and at the most. */
const FIRST_DEGREES = 3;
const MOST_DEGREES = 8;
/** So many animals make it count for one block more. */
const ANIMALS_A_DEGREE = 4;
/** Momentum in seconds of weight (0.1 s: a speed of about 1 m/s). */
const MOST_MOMENTUM_S = 0.1;
/** The same downwards, where an animal may jump and land. */
const MOST_MOMENTUM_DOWN_S = 0.3;
/** A level of fewer blocks may well be a stage of coming on: less is asked of a rise. */
const OLD_BLOCKS = 8;

/** A fall by more than this share is an animal that goes, not a new weight, unless it lasts (s). */
const LEAVING_SHARE = 0.3;
const LEAVING_S = 2;

/** A level that begins with this block. */
export function beginLevel(scene: Scene, kg: number, early: boolean): Level {
  return extend(scene, { bank: emptyBank(scene.seconds, kg), kg, span: 0, early }, kg, 1, 1);
}

/**
 * The level with one more block.
 * @param steps blocks since its last one.
 * @param wide how many times the usual variance this block has.
 */
export function joinLevel(scene: Scene, level: Level, kg: number, steps: number, wide = 1): Level {
  const { bank, span, early } = level;
  const { kg: knownKg, scatterKg } = level.found;
  const from = { bank, kg: knownKg, span, early, unitKg: scatterKg };
  return extend(scene, from, kg, steps, wide);
}

function extend(
  scene: Scene,
  from: { bank: Bank; kg: number; span: number; early: boolean; unitKg?: number },
  kg: number,
  steps: number,
  wide: number,
): Level {
  const prior = priorOf(scene, from.kg, from.early);
  const bank = addBlock(from.bank, scene.seconds, kg, steps, wide, from.unitKg ?? prior.scatterKg);
  const found = posterior(bank, scene.seconds, prior);
  return { bank, found, span: from.span + steps, early: from.early };
}

/** What is expected of the scatter before it is seen. */
export function priorOf(scene: Scene, kg: number, early: boolean): ScatterPrior {
  const share = expectedScatterKg(scene.flock, kg, early);
  const d = scene.config.divisionKg;
  const scatterKg = Math.sqrt(share * share + (d * d) / 12);
  const { animals, weights } = scene.flock;
  const grown = FIRST_DEGREES + Math.floor(animals / ANIMALS_A_DEGREE);
  return { scatterKg, degrees: Math.min(MOST_DEGREES, grown), weights };
}

/** Off the level by more than this, kg, is kept apart. */
export function reachOf(scene: Scene, level: Level): number {
  return Math.max(APART * level.found.scatterKg, 4 * scene.config.divisionKg);
}

/** Scale of the difference of two levels, kg. */
export function scaleOfDifference(a: Level, b: Level): number {
  return Math.sqrt(a.found.scaleKg * a.found.scaleKg + b.found.scaleKg * b.found.scaleKg);
}

/** More momentum than a body can have, and a difference that the scatter does not explain. */
export function isNewLevel(scene: Scene, level: Level, away: Level): boolean {
  const off = away.found.kg - level.found.kg;
  const young = Math.min(1, level.span / OLD_BLOCKS);
  const most = (off > 0 ? MOST_MOMENTUM_S : MOST_MOMENTUM_DOWN_S) * young;
  const fallen = -off / Math.max(1, level.found.kg);
  if (fallen > LEAVING_SHARE && away.span * scene.seconds < LEAVING_S) return false;
  const momentum = (Math.abs(off) * away.span * scene.seconds) / Math.max(1, level.found.kg);
  if (away.bank.count >= 2 * level.bank.count + 2) return true;
  return (
    away.bank.count >= 3 && momentum > most && Math.abs(off) > 3 * scaleOfDifference(level, away)
  );
}
