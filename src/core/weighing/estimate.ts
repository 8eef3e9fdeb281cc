import { studentInverse } from '../normal.ts';
import { roundingOfWindow } from './rounding.ts';
import { scaleOfDifference } from './level.ts';
import type { Level, Scene } from './level.ts';
import type { Load } from './load.ts';
import type { Estimate } from './result.ts';
import { withinBand } from './window.ts';

/** The settle rule is not believed above this probability that more is to come on. */
const MOST_TO_COME = 0.1;

/**
 * Half-width of the 95 % interval in standard deviations, where this share of the variance is of an
 * error evenly spread over its range (rounding) and the rest normal: 1.96 down to 0.95 sqrt(3).
 * Within 0.01 of the exact convolution.
 */
function coverageFactor(share: number): number {
  return 1.96 - 0.315 * share * share * share;
}

/** Variance that readings kept apart leave open: they might yet be a new level. */
function awayVariance(level: Level, away: Level | null): number {
  if (away === null) return 0;
  const share = away.bank.count / (away.bank.count + level.bank.count);
  const off = away.found.kg - level.found.kg;
  return share * share * off * off;
}

/** Variance that a later start leaves open which does not agree with the level. */
function rivalVariance(load: Load, level: Level): number {
  let most = 0;
  for (const rival of load.rivals) {
    if (rival.level.bank.count < 3) continue;
    const off = Math.abs(rival.level.found.kg - level.found.kg);
    most = Math.max(most, off - 2 * scaleOfDifference(rival.level, level));
  }
  return most * most;
}

/**
 * The estimate that the others see.
 * @param zeroVariance of the zero that was subtracted, kg squared.
 */
export function estimateOf(scene: Scene, load: Load, zeroVariance: number): Estimate | null {
  const { level } = load;
  if (level === null) return null;
  const { found } = level;
  const { settle, divisionKg } = scene.config;
  const rounding = roundingOfWindow(divisionKg, load.window, level.bank.count);
  const doubt = awayVariance(level, load.away) + rivalVariance(load, level);
  const moving = found.scaleKg * found.scaleKg + doubt;
  const uKg = (quantile: number, normal: number): number => {
    const widened = studentInverse(quantile, found.degrees) / normal;
    return Math.sqrt(widened * widened * moving + rounding + zeroVariance);
  };
  const u95 = uKg(0.975, 1.96);
  return {
    kg: found.kg,
    u95Kg: coverageFactor((rounding + zeroVariance) / (u95 * u95)) * u95,
    uKg: uKg(0.995, 2.5758),
    settled: settle !== null && isSettled(scene, load, level, settle),
    spanMs: Math.round(level.bank.count * scene.blockMs),
    toCome: load.toCome,
  };
}

/** The plan's settle rule; a band beside the estimate, or of half an animal, is none. */
function isSettled(
  scene: Scene,
  load: Load,
  level: Level,
  settle: { withinKg: number; forMs: number },
): boolean {
  const { half, foot } = load.toCome;
  const blocks = Math.ceil(settle.forMs / 1000 / scene.seconds) + 1;
  return (
    half + foot <= MOST_TO_COME &&
    load.away === null &&
    level.span >= blocks &&
    withinBand(load.window, blocks, settle.withinKg)
  );
}
