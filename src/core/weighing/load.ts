/** One load on the crate: its readings, where it is fully on, and the estimate of its weight. */
import { studentInverse } from '../normal.ts';
import { addBlock, emptyBank, posterior } from './bank.ts';
import type { Bank, Posterior, ScatterPrior } from './bank.ts';
import type { Estimate, WeighingConfig } from './result.ts';
import { addReading, emptyWindow, readingsPerBlock, withinBand } from './window.ts';
import type { Window } from './window.ts';

export interface Load {
  window: Window;
  /** Blocks since the load is fully on, as far as the readings tell; 0 before. */
  since: number;
  bank: Bank;
  posterior: Posterior | null;
}

/** What earlier animals taught. */
export interface Learnt {
  /** Scatter of a block as a share of the weight. */
  scatterShare: number;
  animals: number;
}

export function initialLearnt(): Learnt {
  return { scatterShare: 0.02, animals: 0 };
}

export function emptyLoad(): Load {
  return {
    window: emptyWindow(),
    since: 0,
    bank: { originKg: 0, count: 0, sums: [] },
    posterior: null,
  };
}

/** A change of level this many times the scatter is no movement but weight coming on or going. */
const JUMP = 5;

export function scatterPrior(config: WeighingConfig, learnt: Learnt, kg: number): ScatterPrior {
  const rounding = config.divisionKg / Math.sqrt(12);
  const share = learnt.scatterShare * Math.abs(kg);
  return { scatterKg: Math.sqrt(share * share + rounding * rounding), degrees: 3 };
}

/** Takes one reading of the load. */
export function addToLoad(
  config: WeighingConfig,
  learnt: Learnt,
  load: Load,
  kg: number,
  steps: number,
): Load {
  const perBlock = readingsPerBlock(config.rateHz);
  const added = addReading(load.window, kg, steps, perBlock);
  if (!added.full) return { ...load, window: added.window };
  const seconds = perBlock / config.rateHz;
  const { mean, step } = added.window;
  const n = mean.length;
  const latest = mean[n - 1] ?? 0;
  const prior = scatterPrior(config, learnt, latest);
  const start = fullyOnFrom(mean, load.since + 1, load.posterior, prior, config.divisionKg);
  let bank = load.bank;
  if (start === n - 1 - load.since && load.since > 0) {
    bank = addBlock(bank, seconds, latest, step[n - 1] ?? 1);
  } else {
    bank = emptyBank(seconds, latest);
    for (let i = start; i < n; i += 1) bank = addBlock(bank, seconds, mean[i] ?? 0, step[i] ?? 1);
  }
  const since = n - start;
  return { window: added.window, since, bank, posterior: posterior(bank, seconds, prior) };
}

/**
 * Index of the first block that belongs to the load fully on: going back from the newest, the last
 * block before one that lies too far off the level of the newest three.
 */
function fullyOnFrom(
  mean: number[],
  most: number,
  known: Posterior | null,
  prior: ScatterPrior,
  divisionKg: number,
): number {
  const n = mean.length;
  const oldest = Math.max(0, n - most);
  const scatter = Math.max(prior.scatterKg, known?.scatterKg ?? 0);
  const reach = Math.max(JUMP * scatter, 4 * divisionKg);
  const tail = mean.slice(Math.max(oldest, n - 3)).sort((a, b) => a - b);
  const level = tail[Math.floor(tail.length / 2)] ?? 0;
  for (let i = n - 1; i >= oldest; i -= 1) {
    if (Math.abs((mean[i] ?? 0) - level) > reach) return Math.min(n - 1, i + 1);
  }
  return oldest;
}

/** The estimate that the others see, zero subtracted. */
export function estimateOf(config: WeighingConfig, load: Load, zeroKg: number): Estimate | null {
  const { posterior: found } = load;
  if (found === null) return null;
  const seconds = readingsPerBlock(config.rateHz) / config.rateHz;
  const d = config.divisionKg;
  const rounding = (2 * d * d) / 12;
  const scale = Math.sqrt(found.scaleKg * found.scaleKg + rounding);
  const settle = config.settle;
  const blocks = settle === null ? 0 : Math.ceil(settle.forMs / 1000 / seconds) + 1;
  return {
    kg: found.kg - zeroKg,
    u95Kg: studentInverse(0.975, found.degrees) * scale,
    uKg: (studentInverse(0.995, found.degrees) / 2.5758) * scale,
    settled: settle !== null && withinBand(load.window, blocks, settle.withinKg),
    spanMs: Math.round(load.since * seconds * 1000),
  };
}
