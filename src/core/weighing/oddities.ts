/** What about the weight looks wrong; each makes the animal not sure while it lasts. */
import { expectedScatterKg } from './flock.ts';
import type { Load } from './load.ts';
import type { Oddity, WeighingConfig } from './result.ts';
import type { ReadingInput } from '../trace.ts';
import type { WeighingState } from './weighing.ts';
import { isDrifting } from './zero.ts';

/** Past Max by this many divisions no reading is shown (OIML R 76-1, 4.2.3, from memory). */
export const OVER_DIVISIONS = 9;
/** The same reading for this long on a live animal is a head that has stopped. */
const STUCK_MS = 5000;
/** ... and so many times over: of a slow head a few alike are nothing strange. */
const STUCK_READINGS = 20;
/** A level that has lasted this long without the hind feet is called front feet only. */
const FRONT_ONLY_MS = 1000;
/** ... and this likely. */
const FRONT_ONLY = 0.2;
/** Pounds in a kilogram (international pound, 0.45359237 kg). */
const POUNDS = 1 / 0.45359237;
/** How near to that a jump must be. */
const POUNDS_WITHIN = 0.008;

/** A line without a weight. */
export function oddityOfLine(input: ReadingInput): Oddity {
  if (input.status === 'over') return 'overload';
  if (input.status === 'under') return 'negative';
  return 'weigh-head-error';
}

/** A line with a weight that cannot be one. */
export function oddityOfWeight(config: WeighingConfig, zeroKg: number, kg: number): Oddity | null {
  if (kg > config.maxKg + OVER_DIVISIONS * config.divisionKg) return 'overload';
  if (kg - zeroKg < -Math.max(1, 10 * config.divisionKg)) return 'negative';
  return null;
}

/** The load jumped at once by the ratio of kilogram and pound. */
function looksLikeOtherUnit(load: Load): boolean {
  const { level, beforeKg, jumped } = load;
  if (!jumped || level === null || level.bank.count < 5) return false;
  if (!(beforeKg > 0) || level.found.scaleKg > POUNDS_WITHIN * level.found.kg) return false;
  const ratio = Math.max(beforeKg / level.found.kg, level.found.kg / beforeKg);
  return Math.abs(ratio / POUNDS - 1) < POUNDS_WITHIN;
}

/**
 * All that looks wrong now.
 * @param blockMs length of a block of readings.
 */
export function odditiesOf(
  config: WeighingConfig,
  state: WeighingState,
  fresh: boolean,
  blockMs: number,
): Oddity[] {
  const found: Oddity[] = [];
  const { load, zero, estimate } = state;
  if (state.lineOddity !== null) found.push(state.lineOddity);
  if (isDrifting(config, zero)) found.push('empty-drifting');
  if (state.occupancy !== 'loaded') return found;
  if (!zero.known) found.push('zero-unknown');
  if (!fresh || state.disordered) found.push('readings-late');
  if (load.leaning) found.push('leaning');
  if (load.two) found.push('two-animals');
  if (looksLikeOtherUnit(load)) found.push('unit-changed');
  if (isStuck(config, state)) found.push('stuck');
  const span = (load.level?.span ?? 0) * blockMs;
  if (estimate !== null && load.toCome.half > FRONT_ONLY && span >= FRONT_ONLY_MS) {
    found.push('front-feet-only');
  }
  return found;
}

/** Only where a live animal should move the reading by more than a division. */
function isStuck(config: WeighingConfig, state: WeighingState): boolean {
  const { sameCount } = state;
  if (sameCount < STUCK_READINGS || sameCount * state.period.ms < STUCK_MS) return false;
  const kg = state.load.level?.found.kg ?? 0;
  return expectedScatterKg(state.flock, kg, false) > config.divisionKg;
}
