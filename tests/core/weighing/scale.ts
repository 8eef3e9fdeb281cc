/** A weigh head in words: each call gives the weighing readings and says what it makes of them. */
import type {
  WeighingConfig,
  WeighingContacts,
  WeighingInput,
  WeighingResult,
} from '../../../src/core/weighing/result.ts';
import { initial, weigh } from '../../../src/core/weighing/weighing.ts';
import type { WeighingState } from '../../../src/core/weighing/weighing.ts';

export const CONFIG: WeighingConfig = {
  divisionKg: 0.1,
  rateHz: 10,
  maxKg: 200,
  loadingKg: 8,
  emptyKg: 5,
  staleMs: 1500,
  clamp: false,
  settle: { withinKg: 0.5, forMs: 1000 },
};

export const SHUT: WeighingContacts = {
  frontShut: true,
  frontProvedShut: false,
  weightCounts: true,
};

export class Scale {
  t = 0;
  state: WeighingState;
  result: WeighingResult;
  contacts = SHUT;
  readonly config: WeighingConfig;

  constructor(config: Partial<WeighingConfig> = {}) {
    this.config = { ...CONFIG, ...config };
    this.state = initial(this.config);
    this.result = this.give({ t: 0 });
  }

  give(input: WeighingInput): WeighingResult {
    const step = weigh(this.config, this.state, input, this.contacts);
    this.state = step.state;
    this.result = step.result;
    return step.result;
  }

  /** Readings one after another, rounded to the division. */
  read(...kgs: number[]): WeighingResult {
    const d = this.config.divisionKg;
    for (const kg of kgs) {
      this.t += Math.round(1000 / this.config.rateHz);
      this.give({ t: this.t, kg: Number((Math.round(kg / d) * d).toFixed(3)) });
    }
    return this.result;
  }

  /** The same reading for so many seconds. */
  stand(kg: number, seconds: number): WeighingResult {
    return this.read(...Array.from({ length: Math.round(seconds * this.config.rateHz) }, () => kg));
  }

  /** An animal that shifts a little about its weight. */
  live(kg: number, seconds: number, share = 0.01): WeighingResult {
    const n = Math.round(seconds * this.config.rateHz);
    return this.read(
      ...Array.from({ length: n }, (_, i) => kg * (1 + share * (WOBBLE[i % 16] ?? 0))),
    );
  }

  /** Time without a reading. */
  wait(ms: number): WeighingResult {
    this.t += ms;
    return this.give({ t: this.t });
  }

  /** One animal from on to off, by its two steps. */
  animal(kg: number, seconds = 2): WeighingResult {
    this.read(0.3 * kg, 0.57 * kg, 0.9 * kg);
    const on = this.live(kg, seconds);
    this.read(0.5 * kg, 0);
    this.stand(0, 1);
    return on;
  }
}

/** A movement whose impulse comes back to nothing. */
const WOBBLE = [0, 1, -1, 0.5, 0.3, -0.8, -0.6, 0.6, 1.2, -0.4, -1.3, 0.5, 0.2, 0.4, -0.9, 0.3];
