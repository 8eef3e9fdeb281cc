/**
 * Published values for the statistics of the bench and for what decides: NIST StRD, GUM, JCGM 106,
 * Wald. Sources beside each.
 */
import * as simple from 'simple-statistics';
import { describe, expect, it } from 'vitest';
import { createRandom } from '../../simulator/random.ts';
import { ln, normalCdf, normalInverse } from '../../src/core/normal.ts';
import {
  boundOfNone,
  deviation,
  lagOne,
  mean,
  quantile,
  shareInterval,
} from '../bench/statistics.ts';

/** NIST StRD, univariate, set Mavro (P. Mavrodineaunu, filter transmittance). */
const MAVRO = [
  2.0018, 2.0017, 2.0018, 2.0019, 2.0018, 2.0017, 2.0015, 2.0014, 2.0015, 2.0015, 2.0017, 2.0018,
  2.0018, 2.0019, 2.0019, 2.0021, 2.002, 2.0016, 2.0014, 2.0013, 2.0013, 2.0015, 2.0015, 2.0016,
  2.0015, 2.0014, 2.0013, 2.0014, 2.0015, 2.0014, 2.0015, 2.0016, 2.0015, 2.0016, 2.0019, 2.002,
  2.002, 2.0021, 2.0022, 2.0023, 2.0024, 2.0025, 2.0027, 2.0026, 2.0026, 2.0026, 2.0027, 2.0026,
  2.0025, 2.0024,
];

/** NIST StRD, univariate, set Michelso (speed of light in air, millions of m/s, Michelson 1879). */
const MICHELSO = [
  299.85, 299.74, 299.9, 300.07, 299.93, 299.85, 299.95, 299.98, 299.98, 299.88, 300.0, 299.98,
  299.93, 299.65, 299.76, 299.81, 300.0, 300.0, 299.96, 299.96, 299.96, 299.94, 299.96, 299.94,
  299.88, 299.8, 299.85, 299.88, 299.9, 299.84, 299.83, 299.79, 299.81, 299.88, 299.88, 299.83,
  299.8, 299.79, 299.76, 299.8, 299.88, 299.88, 299.88, 299.86, 299.72, 299.72, 299.62, 299.86,
  299.97, 299.95, 299.88, 299.91, 299.85, 299.87, 299.84, 299.84, 299.85, 299.84, 299.84, 299.84,
  299.89, 299.81, 299.81, 299.82, 299.8, 299.77, 299.76, 299.74, 299.75, 299.76, 299.91, 299.92,
  299.89, 299.86, 299.88, 299.72, 299.84, 299.85, 299.85, 299.78, 299.89, 299.84, 299.78, 299.81,
  299.76, 299.81, 299.79, 299.81, 299.82, 299.85, 299.87, 299.87, 299.81, 299.74, 299.81, 299.94,
  299.95, 299.8, 299.81, 299.87,
];

/** NIST StRD sets NumAcc2 to NumAcc4: a first value c, then c - 0.1 and c + 0.1 in turn. */
function numAcc(first: string, low: string, high: string): number[] {
  const pairs = Array.from({ length: 500 }, () => [Number(low), Number(high)]).flat();
  return [Number(first), ...pairs];
}

/** Digits that agree: minus the common logarithm of the relative error, 15 at most. */
function digits(found: number, certified: number): number {
  const error = Math.abs(found - certified) / Math.abs(certified);
  return error === 0 ? 15 : Math.min(15, -Math.log10(error));
}

describe('NIST StRD certified values', () => {
  // Certified mean, standard deviation and lag-1 autocorrelation; least digits that doubles allow:
  // the data of NumAcc3 and 4 are not doubles, which costs the deviation 8 or 9 of its 15 digits.
  it.each([
    ['Mavro', MAVRO, 2.001856, 0.000429123454003053, 0.937989183438248, 14, 12, 12],
    ['Michelso', MICHELSO, 299.8524, 0.0790105478190518, 0.535199668621283, 15, 13, 13],
    ['NumAcc1', [10000001, 10000003, 10000002], 10000002, 1, -0.5, 15, 15, 15],
    ['NumAcc2', numAcc('1.2', '1.1', '1.3'), 1.2, 0.1, -0.999, 14, 14, 14],
    ['NumAcc3', numAcc('1000000.2', '1000000.1', '1000000.3'), 1000000.2, 0.1, -0.999, 15, 9, 10],
    [
      'NumAcc4',
      numAcc('10000000.2', '10000000.1', '10000000.3'),
      10000000.2,
      0.1,
      -0.999,
      15,
      8,
      9,
    ],
  ])('%s', (_name, values, centre, spread, lag, forMean, forSpread, forLag) => {
    expect(digits(mean(values), centre)).toBeGreaterThanOrEqual(forMean);
    expect(digits(deviation(values), spread)).toBeGreaterThanOrEqual(forSpread);
    expect(digits(lagOne(values), lag)).toBeGreaterThanOrEqual(forLag);
  });
});

describe('GUM (JCGM 100:2008), 4.4.3', () => {
  it('gives the mean and standard uncertainty of the twenty readings', () => {
    // Data from memory, arithmetic checked: 100.145, 1.489, 0.333 degrees.
    const readings = [
      96.9, 98.18, 98.25, 98.61, 99.03, 99.49, 99.56, 99.74, 99.89, 100.07, 100.33, 100.42, 100.68,
      100.95, 101.11, 101.2, 101.57, 101.84, 102.36, 102.72,
    ];
    expect(mean(readings)).toBeCloseTo(100.145, 3);
    expect(deviation(readings)).toBeCloseTo(1.489, 3);
    expect(deviation(readings) / Math.sqrt(20)).toBeCloseTo(0.333, 3);
  });
});

describe('JCGM 106:2012, 7.3', () => {
  it('gives the conformance probability of the diode and the guard factors', () => {
    // Diode -5.47 V, u 0.05, limit -5.40 (from memory, arithmetic checked): 0.919.
    expect(normalCdf((-5.4 + 5.47) / 0.05)).toBeCloseTo(0.919, 3);
    expect(normalInverse(0.95)).toBeCloseTo(1.645, 3);
    expect(normalInverse(0.99)).toBeCloseTo(2.326, 3);
  });
});

describe("Wald's sequential test", () => {
  const upper = ln(19);
  const lower = -upper;

  it('has the published boundaries', () => {
    // A. Wald 1947 (from memory, arithmetic checked): alpha = beta = 0.05: 2.9444 both ways.
    expect(upper).toBeCloseTo(2.9444, 4);
    expect(ln((1 - 0.1) / 0.05)).toBeCloseTo(2.8904, 4);
    expect(ln(0.1 / 0.95)).toBeCloseTo(-2.2513, 4);
  });

  it('needs the published average number of readings, and keeps its error rates', () => {
    // Two means one deviation apart: 5.30 readings on average by Wald's approximation, which leaves
    // out the overshoot (so a little more), against 10.82 for a fixed number.
    const random = createRandom(11);
    const runs = 4000;
    let used = 0;
    let wrong = 0;
    for (let run = 0; run < runs; run += 1) {
      let sum = 0;
      while (sum < upper && sum > lower) {
        sum += random.normal() - 0.5;
        used += 1;
      }
      if (sum >= upper) wrong += 1;
    }
    expect(used / runs).toBeGreaterThan(5.3);
    expect(used / runs).toBeLessThan(7.4);
    expect(wrong / runs).toBeLessThan(0.05);
  });
});

describe('against another library', () => {
  it('agrees with simple-statistics on quantiles, deviation and the normal distribution', () => {
    const random = createRandom(5);
    const values = Array.from({ length: 1001 }, random.normal);
    expect(quantile(values, 0.5)).toBe(simple.median(values));
    expect(Math.abs(quantile(values, 0.9) - simple.quantile(values, 0.9))).toBeLessThan(1e-12);
    expect(deviation(values)).toBeCloseTo(simple.sampleStandardDeviation(values), 12);
    // That library looks the probability up in a table of four places.
    expect(normalCdf(1.23)).toBeCloseTo(simple.cumulativeStdNormalProbability(1.23), 3);
    expect(normalInverse(0.9)).toBeCloseTo(simple.probit(0.9), 2);
  });

  it('gives the usual bounds of shares', () => {
    // Rule of three: none in 2,000 is below 0.15 % (common practice, no source).
    expect(boundOfNone(2000)).toBeCloseTo(0.0015, 4);
    // Wilson's interval for 10 of 100, printed in many tables: 0.0552 to 0.1744.
    const [low, high] = shareInterval(10, 100);
    expect(low).toBeCloseTo(0.0552, 4);
    expect(high).toBeCloseTo(0.1744, 4);
  });
});
