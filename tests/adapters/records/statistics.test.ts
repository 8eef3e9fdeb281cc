import fc from 'fast-check';
import * as reference from 'simple-statistics';
import { describe, expect, it } from 'vitest';
import { carcassKg } from '../../../src/adapters/records/lots.ts';
import { histogram, summarise } from '../../../src/adapters/records/statistics.ts';

const weights = fc.array(
  fc.integer({ min: 500, max: 9000 }).map((n) => n / 100),
  {
    minLength: 2,
    maxLength: 300,
  },
);

describe('statistics of weights', () => {
  it('agree with certified values (NIST StRD, univariate: NumAcc1, NumAcc3, NumAcc4)', () => {
    expect(summarise([10000001, 10000003, 10000002])).toMatchObject({ mean: 10000002, sd: 1 });
    const alternating = (first: number, a: number, b: number): number[] => [
      first,
      ...Array.from({ length: 1000 }, (_, i) => (i % 2 === 0 ? a : b)),
    ];
    const numAcc3 = summarise(alternating(1000000.2, 1000000.1, 1000000.3));
    expect(numAcc3?.mean).toBeCloseTo(1000000.2, 8);
    expect(numAcc3?.sd).toBeCloseTo(0.1, 8);
    const numAcc4 = summarise(alternating(10000000.2, 10000000.1, 10000000.3));
    expect(numAcc4?.mean).toBeCloseTo(10000000.2, 7);
    expect(numAcc4?.sd).toBeCloseTo(0.1, 7);
  });

  it('agree with simple-statistics', () => {
    fc.assert(
      fc.property(weights, (list) => {
        const ours = summarise(list);
        expect(ours?.mean).toBeCloseTo(reference.mean(list), 9);
        expect(ours?.sd).toBeCloseTo(reference.sampleStandardDeviation(list), 9);
        expect([ours?.least, ours?.most]).toEqual([reference.min(list), reference.max(list)]);
        expect(ours?.total).toBeCloseTo(reference.sum(list), 6);
      }),
    );
  });

  it('put every weight into one class, those between without gaps', () => {
    fc.assert(
      fc.property(weights, (list) => {
        const classes = histogram(list);
        expect(classes.reduce((sum, { head }) => sum + head, 0)).toBe(list.length);
        for (const [i, { fromKg, head }] of classes.entries()) {
          expect(fromKg).toBe((classes[0]?.fromKg ?? 0) + i);
          expect(head).toBe(list.filter((kg) => kg >= fromKg && kg < fromKg + 1).length);
        }
      }),
    );
  });

  it('are nothing for nothing, and without a spread for one', () => {
    expect(summarise([])).toBeNull();
    expect(histogram([])).toEqual([]);
    expect(summarise([41.5])).toMatchObject({ count: 1, mean: 41.5, sd: null, total: 41.5 });
  });

  it('estimate the carcass (worked examples of the farming press)', () => {
    expect(carcassKg(40, 49)).toBeCloseTo(19.6, 9);
    expect(carcassKg(48, 44)).toBeCloseTo(21.12, 9);
  });
});
