import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Oddity, WeighingContacts, WeighingInput } from '../../../src/core/weighing/result.ts';
import { createAnimal } from '../../../simulator/animal.ts';
import { createRandom } from '../../../simulator/random.ts';
import { createWeighHead, type WeighHeadOptions } from '../../../simulator/weigh-head.ts';
import { initial, weigh } from '../../../src/core/weighing/weighing.ts';
import type { WeighingState } from '../../../src/core/weighing/weighing.ts';
import { CONFIG, Scale } from './scale.ts';

/** Every number in a value, however deep. */
function numbersIn(value: unknown): number[] {
  if (typeof value === 'number') return [value];
  if (value === null || typeof value !== 'object') return [];
  return Object.values(value).flatMap(numbersIn);
}

const contacts: fc.Arbitrary<WeighingContacts> = fc.record({
  frontShut: fc.boolean(),
  frontProvedShut: fc.boolean(),
  weightCounts: fc.boolean(),
});

const wildKg = fc.oneof(
  fc.double({ min: -300, max: 300 }),
  fc.constantFrom(0, 40, 41.3, 22, 88.2, -0, 1e9, -1e9, 1e308, 5e-324, NaN, Infinity, -Infinity),
);

const wildInput: fc.Arbitrary<(t: number) => WeighingInput> = fc.oneof(
  { weight: 8, arbitrary: wildKg.map((kg) => (t: number): WeighingInput => ({ t, kg })) },
  fc.constantFrom('over', 'under', 'error').map((status) => (t: number) => {
    return { t, kg: null, status: status as 'over' };
  }),
  fc.boolean().map((up) => (t: number) => ({ t, link: 'scale' as const, up })),
  fc.constant((t: number): WeighingInput => ({ t, zero: true })),
  fc.constant((t: number): WeighingInput => ({ t, crateEmpty: true })),
  fc.constant((t: number): WeighingInput => ({ t })),
);

const wildRun = fc.array(
  fc.record({ wait: fc.integer({ min: -500, max: 3000 }), input: wildInput, contacts }),
  { minLength: 1, maxLength: 150 },
);

/** Readings of a lively animal as a script of shares of its weight. */
const shares = fc.array(fc.double({ min: -0.05, max: 0.05, noNaN: true }), {
  minLength: 5,
  maxLength: 60,
});

function estimateOf(scale: Scale, kgs: readonly number[]): { kg: number; u95Kg: number } {
  const readings = kgs.map((kg, i) => ({ t: 10_000 + i * 100, kg }));
  let result = scale.result;
  for (const reading of readings) result = scale.give(reading);
  return result.estimate ?? { kg: NaN, u95Kg: NaN };
}

/** An animal of the simulator on an emptied scale with such a head, twenty seconds on. */
function weighedBy(
  scale: Scale,
  head: Omit<WeighHeadOptions, 'noiseKg'>,
  seed: number,
): { kg: number; u95Kg: number; trueKg: number; standing: Oddity[] } {
  const random = createRandom(seed);
  const trueKg = random.between(30, 50);
  const animal = createAnimal(random, { trueKg, temperament: 0.4, scenario: 'usual' });
  const weighHead = createWeighHead(random.branch(9), { ...head, noiseKg: 0.02 });
  let standing: Oddity[] | null = null;
  for (let t = 0; t < 32_000; t += 5) {
    const reading = weighHead.sample(t, t < 12_000 ? 0 : animal.loadKg(t - 12_000));
    if (reading === null) continue;
    const { oddities } = scale.give({ t, kg: reading.kg });
    // A stamp of the last moment looks like a climb until the next readings come.
    if (t >= 30_000) standing = (standing ?? oddities).filter((odd) => oddities.includes(odd));
  }
  const { estimate } = scale.result;
  const kg = estimate?.kg ?? NaN;
  return { kg, u95Kg: estimate?.u95Kg ?? NaN, trueKg, standing: standing ?? [] };
}

function emptied(config: Partial<typeof CONFIG> = {}, zeroKg = 0): Scale {
  const scale = new Scale(config);
  scale.stand(zeroKg, 2);
  return scale;
}

describe('whatever comes in', () => {
  it('never throws, never yields a number that is none, and keeps its state bounded', () => {
    fc.assert(
      fc.property(wildRun, (run) => {
        let state = initial(CONFIG);
        let t = 0;
        for (const one of run) {
          t += one.wait;
          const step = weigh(CONFIG, state, one.input(t), one.contacts);
          state = step.state;
          expect(numbersIn(step).every(Number.isFinite)).toBe(true);
          const { estimate } = step.result;
          if (estimate !== null) expect(estimate.u95Kg).toBeGreaterThan(0);
        }
        expect(JSON.stringify(state).length).toBeLessThan(40_000);
      }),
      { numRuns: 150 },
    );
  });

  it('yields no weight from a line without one', () => {
    fc.assert(
      fc.property(fc.constantFrom('over', 'under', 'error'), fc.nat(50), (status, n) => {
        const scale = emptied();
        for (let i = 0; i < n; i += 1) {
          scale.t += 100;
          scale.give({ t: scale.t, kg: null, status: status as 'over' });
        }
        expect(scale.result.estimate).toBeNull();
      }),
    );
  });
});

describe('state', () => {
  it('is plain JSON: after a round trip every step gives the same bytes', () => {
    fc.assert(
      fc.property(wildRun, (run) => {
        let state = initial(CONFIG);
        let copy = JSON.parse(JSON.stringify(state)) as WeighingState;
        let t = 0;
        for (const one of run) {
          t += one.wait;
          const step = weigh(CONFIG, state, one.input(t), one.contacts);
          const other = weigh(CONFIG, copy, one.input(t), one.contacts);
          expect(JSON.stringify(other)).toBe(JSON.stringify(step));
          state = step.state;
          copy = JSON.parse(JSON.stringify(other.state)) as WeighingState;
        }
      }),
      { numRuns: 60 },
    );
  });

  it('is not changed by a step that is given it', () => {
    fc.assert(
      fc.property(shares, (wobble) => {
        const scale = emptied();
        estimateOf(
          scale,
          wobble.map((share) => 40 * (1 + share)),
        );
        const before = JSON.stringify(scale.state);
        weigh(CONFIG, scale.state, { t: 60_000, kg: 41 }, scale.contacts);
        expect(JSON.stringify(scale.state)).toBe(before);
      }),
      { numRuns: 30 },
    );
  });

  it('does not depend on ticks between the readings', () => {
    fc.assert(
      fc.property(shares, (wobble) => {
        const plain = emptied();
        const ticking = emptied();
        wobble.forEach((share, i) => {
          const reading = { t: 10_000 + i * 100, kg: 40 * (1 + share) };
          plain.give(reading);
          for (let t = reading.t - 80; t < reading.t; t += 20) ticking.give({ t });
          ticking.give(reading);
        });
        expect(JSON.stringify(ticking.state)).toBe(JSON.stringify(plain.state));
      }),
      { numRuns: 30 },
    );
  });

  it('does not depend on the origin of time', () => {
    fc.assert(
      fc.property(shares, fc.integer({ min: 0, max: 1e9 }), (wobble, origin) => {
        const run = (from: number): string => {
          let state = initial(CONFIG);
          const kgs = [0, 0, 0, 0, 0, ...wobble.map((share) => 40 * (1 + share))];
          kgs.forEach((kg, i) => {
            state = weigh(CONFIG, state, { t: from + i * 100, kg }, new Scale().contacts).state;
          });
          const timeless = (key: string, value: unknown): unknown =>
            key.endsWith('At') && typeof value === 'number' ? value - from : value;
          return JSON.stringify(state, timeless);
        };
        expect(run(origin)).toBe(run(0));
      }),
      { numRuns: 30 },
    );
  });
});

describe('the estimate', () => {
  it('moves with the zero: a shift of all readings leaves the weight', () => {
    fc.assert(
      fc.property(shares, fc.integer({ min: -10, max: 10 }), (wobble, tenths) => {
        const shift = tenths / 10;
        const kgs = wobble.map((share) => 40 * (1 + share));
        const plain = estimateOf(emptied(), kgs);
        const shifted = estimateOf(
          emptied({}, shift),
          kgs.map((kg) => kg + shift),
        );
        expect(shifted.kg).toBeCloseTo(plain.kg, 6);
        expect(shifted.u95Kg).toBeCloseTo(plain.u95Kg, 6);
      }),
      { numRuns: 60 },
    );
  });

  it('scales with the unit: all lengths doubled double the weight and its uncertainty', () => {
    fc.assert(
      fc.property(shares, (wobble) => {
        const kgs = wobble.map((share) => 40 * (1 + share));
        const plain = estimateOf(emptied(), kgs);
        const large = { divisionKg: 0.2, maxKg: 400, loadingKg: 16, emptyKg: 10 };
        const doubled = estimateOf(
          emptied(large),
          kgs.map((kg) => 2 * kg),
        );
        expect(doubled.kg / plain.kg).toBeCloseTo(2, 6);
        expect(doubled.u95Kg / plain.u95Kg).toBeCloseTo(2, 6);
      }),
      { numRuns: 60 },
    );
  });

  it('lies within the readings of an animal that only moves', () => {
    fc.assert(
      fc.property(shares, (wobble) => {
        const kgs = wobble.map((share) => 40 * (1 + share));
        const { kg } = estimateOf(emptied(), kgs);
        expect(kg).toBeGreaterThan(40 * 0.85);
        expect(kg).toBeLessThan(40 * 1.15);
      }),
      { numRuns: 60 },
    );
  });

  it('is the same whether readings come one by one or in bunches', () => {
    fc.assert(
      fc.property(shares, fc.integer({ min: 2, max: 3 }), (wobble, bunch) => {
        const kgs = wobble.map((share) => 40 * (1 + share));
        const bunched = emptied();
        kgs.forEach((kg, i) => {
          bunched.give({ t: 10_000 + Math.floor(i / bunch) * bunch * 100, kg });
        });
        const even = estimateOf(emptied(), kgs);
        expect(bunched.result.estimate?.kg).toBeCloseTo(even.kg, 9);
        expect(bunched.result.estimate?.u95Kg).toBeCloseTo(even.u95Kg, 9);
      }),
      { numRuns: 60 },
    );
  });

  it('comes whatever the division, the rate, losses and the filter of the head', () => {
    const heads = fc.record({
      divisionKg: fc.constantFrom(0.05, 0.1, 0.2, 0.5, 1),
      rateHz: fc.constantFrom(1, 2, 5, 10, 20, 50),
      lost: fc.constantFrom(0, 0.05, 0.2),
      fadeMs: fc.constantFrom(0, 300, 900),
    });
    fc.assert(
      fc.property(heads, fc.nat(1000), (head, seed) => {
        const { divisionKg, rateHz } = head;
        const scale = new Scale({ divisionKg, rateHz, staleMs: Math.max(1500, 4000 / rateHz) });
        const weighed = weighedBy(scale, head, seed);
        expect(Math.abs(weighed.kg - weighed.trueKg)).toBeLessThan(
          Math.max(2.5 * weighed.u95Kg, divisionKg),
        );
        // One that has learnt nothing yet may take a heavy filter for a head that has stopped.
        expect(weighed.standing.filter((odd) => odd !== 'stuck')).toEqual([]);
      }),
      { numRuns: 60 },
    );
  });

  it('grows surer the longer an animal stands', () => {
    const scale = emptied();
    scale.read(12, 23, 36);
    const half = scale.live(40, 0.5).estimate?.u95Kg ?? 0;
    const one = scale.live(40, 0.5).estimate?.u95Kg ?? 0;
    const three = scale.live(40, 2).estimate?.u95Kg ?? 0;
    expect(one).toBeLessThan(half);
    expect(three).toBeLessThan(one);
  });
});
