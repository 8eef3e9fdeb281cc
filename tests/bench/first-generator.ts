/** Readings of single animals from the simulator's own animal and weigh head. */
import { createAnimal } from '../../simulator/animal.ts';
import { createRandom } from '../../simulator/random.ts';
import { createWeighHead } from '../../simulator/weigh-head.ts';
import type { WeighHeadOptions } from '../../simulator/weigh-head.ts';
import type { Readings, Scenario } from './second-generator.ts';

export interface FirstOptions {
  scenario: Scenario;
  seed: number;
  trueKg: number;
  head?: Partial<WeighHeadOptions>;
}

const TEMPERAMENTS = { calm: [0, 0.4], mixed: [0, 0.9], lively: [0.6, 1], 'front-feet': [0, 0.9] };
const STEP_MS = 5;

/** One animal's readings, from 1.5 s before its first foot to just before it is let go. */
export function firstAnimal(options: FirstOptions): Readings {
  const random = createRandom(options.seed);
  const [low = 0, high = 1] = TEMPERAMENTS[options.scenario];
  const animal = createAnimal(random.branch(1), {
    trueKg: options.trueKg,
    temperament: random.between(low, high),
    scenario: options.scenario === 'front-feet' ? 'front-feet' : 'usual',
  });
  const zeroKg = random.between(-0.5, 0.5) * (options.head?.divisionKg ?? 0.1);
  const standard = { divisionKg: 0.1, rateHz: 10, noiseKg: 0.02, zeroKg };
  const head = createWeighHead(random.branch(2), { ...standard, ...options.head });
  const letGoAt = Math.round(1500 + animal.fullyOnMs + random.between(5500, 8000));
  const readings: Readings['readings'] = [];
  for (let t = 0; t < letGoAt; t += STEP_MS) {
    const reading = head.sample(t, t < 1500 ? 0 : animal.loadKg(t - 1500));
    if (reading === null || reading.kg === null) continue;
    readings.push({ t, kg: reading.kg, motion: reading.motion });
  }
  return {
    trueKg: options.trueKg,
    onAt: 1500,
    fullyOnAt: 1500 + animal.fullyOnMs,
    letGoAt,
    readings,
  };
}
