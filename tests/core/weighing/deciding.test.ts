import { describe, expect, it } from 'vitest';
import type { Estimate } from '../../../src/core/weighing/result.ts';
import { isSure } from '../../../src/core/weighing/sure.ts';
import { firstAnimal } from '../../bench/first-generator.ts';
import { secondAnimal } from '../../bench/second-generator.ts';
import type { Readings } from '../../bench/second-generator.ts';
import { configFor, figuresOf, runOurs } from '../../bench/weighing-rules.ts';
import { Scale } from './scale.ts';

const estimate = (part: Partial<Estimate>): Estimate => ({
  kg: 41,
  u95Kg: 1,
  uKg: 0.5,
  settled: false,
  spanMs: 500,
  toCome: { half: 0, foot: 0 },
  ...part,
});

describe('sure', () => {
  it('is the probability of conformity of JCGM 106, 7.3', () => {
    // 41.0 kg, lower limit 40, u 0.5: 0.9772 (computed from the formula; clause from memory).
    expect(isSure(estimate({}), [40], 0.977)).toBe(true);
    expect(isSure(estimate({}), [40], 0.9773)).toBe(false);
    // Band 38 to 42 at 41.6: 0.7881 towards the upper limit.
    expect(isSure(estimate({ kg: 41.6 }), [38, 42], 0.78)).toBe(true);
    expect(isSure(estimate({ kg: 41.6 }), [38, 42], 0.79)).toBe(false);
  });

  it('keeps the guard bands: 1.645 u at 95 %', () => {
    expect(isSure(estimate({ kg: 40.83 }), [40], 0.95)).toBe(true);
    expect(isSure(estimate({ kg: 40.82 }), [40], 0.95)).toBe(false);
  });

  it('needs a least dwell', () => {
    expect(isSure(estimate({ kg: 60, spanMs: 450 }), [40], 0.995)).toBe(false);
    expect(isSure(estimate({ kg: 60, spanMs: 500 }), [40], 0.995)).toBe(true);
  });

  it('grants the leeway at the cut little by little', () => {
    const near = estimate({ kg: 40.05, uKg: 0.1 });
    expect(isSure({ ...near, spanMs: 500 }, [40], 0.995, 0.3)).toBe(false);
    expect(isSure({ ...near, spanMs: 1400 }, [40], 0.995, 0.3)).toBe(true);
    expect(isSure({ ...near, spanMs: 9000 }, [40], 0.995)).toBe(false);
  });

  it('does not decide below a cut while more may come, and does above the last', () => {
    const half = { half: 0.3, foot: 0 };
    expect(isSure(estimate({ kg: 23, toCome: half }), [36, 44], 0.995)).toBe(false);
    expect(isSure(estimate({ kg: 50, toCome: half }), [36, 44], 0.995)).toBe(true);
    const foot = { half: 0, foot: 0.3 };
    expect(isSure(estimate({ kg: 33, toCome: foot }), [36, 44], 0.995)).toBe(false);
    expect(isSure(estimate({ kg: 20, toCome: foot }), [36, 44], 0.995)).toBe(true);
  });

  it('is so at once without a cut', () => {
    expect(isSure(estimate({}), [], 0.995)).toBe(true);
  });
});

describe('settled', () => {
  const ready = (config: ConstructorParameters<typeof Scale>[0] = {}): Scale => {
    const scale = new Scale(config);
    scale.stand(0, 2);
    for (const kg of [38, 42, 40, 41]) scale.animal(kg);
    scale.read(12, 23, 36);
    return scale;
  };

  it('is all readings within the band for the settle time', () => {
    const scale = ready();
    expect(scale.read(40, 40.5, 40, 40.5, 40, 40, 40.2, 40, 40, 40.1).estimate?.settled).toBe(
      false,
    );
    expect(scale.read(40).estimate?.settled).toBe(true);
    expect(scale.read(40.6).estimate?.settled).toBe(false);
  });

  it('is never so without the rule', () => {
    const scale = ready({ settle: null });
    expect(scale.stand(40, 3).estimate?.settled).toBe(false);
  });

  it('looks at every reading of a fast head, not at means', () => {
    const scale = ready({ rateHz: 50 });
    scale.stand(40, 0.9);
    for (let i = 0; i < 50; i += 1) scale.read(40 + (i % 5 === 0 ? 0.6 : 0));
    expect(scale.result.estimate?.settled).toBe(false);
    expect(scale.stand(40, 1.2).estimate?.settled).toBe(true);
  });
});

describe('animals of both generators', () => {
  const flockOf = (n: number, one: (seed: number, trueKg: number) => Readings): Readings[] =>
    Array.from({ length: n }, (_, i) => one(700 + i, 30 + ((i * 37) % 200) / 10));

  it.each(['calm', 'mixed', 'lively', 'front-feet'] as const)(
    '%s: nobody far from a cut goes wrong',
    (scenario) => {
      const first = flockOf(60, (seed, trueKg) => firstAnimal({ scenario, seed, trueKg }));
      const second = flockOf(60, (seed, trueKg) => secondAnimal({ scenario, seed, trueKg }));
      for (const flock of [first, second]) {
        const found = figuresOf(runOurs(flock, configFor(0.1, 10), 0.995));
        expect(found.wrongFar).toBe(0);
        expect(found.undecided).toBeLessThanOrEqual(1 / 60);
        expect(found.rmse).toBeLessThan(0.1);
        expect(found.median).toBeLessThan(1.1);
      }
    },
  );

  it('weighs a long animal on a slowly fading head without bias', () => {
    const flock = flockOf(40, (seed, trueKg) =>
      secondAnimal({ scenario: 'calm', seed, trueKg, fadeMs: 600 }),
    );
    const found = figuresOf(runOurs(flock, configFor(0.1, 10), 0.995));
    expect(Math.abs(found.bias)).toBeLessThan(0.06);
    expect(found.wrongFar).toBe(0);
  });
});
