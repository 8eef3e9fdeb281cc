/**
 * Published values for the statistics of the bench and for what decides: NIST StRD, GUM, JCGM 106,
 * Wald. Sources beside each.
 */
import * as simple from 'simple-statistics';
import { describe, expect, it } from 'vitest';
import { createRandom } from '../../simulator/random.ts';
import { ln, normalCdf, normalInverse } from '../../src/core/normal.ts';
import { permissibleErrorKg } from '../../src/core/weighing/check-weight.ts';
import { secondAnimal, type Scenario } from '../bench/second-generator.ts';
import {
  boundOfNone,
  deviation,
  lagOne,
  mean,
  quantile,
  shareInterval,
} from '../bench/statistics.ts';
import { configFor, runOurs } from '../bench/weighing-rules.ts';

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

/** NIST StRD, univariate, set Lottery (a lottery's three-digit numbers, 1989). */
const LOTTERY = [
  162, 671, 933, 414, 788, 730, 817, 33, 536, 875, 670, 236, 473, 167, 877, 980, 316, 950, 456, 92,
  517, 557, 956, 954, 104, 178, 794, 278, 147, 773, 437, 435, 502, 610, 582, 780, 689, 562, 964,
  791, 28, 97, 848, 281, 858, 538, 660, 972, 671, 613, 867, 448, 738, 966, 139, 636, 847, 659, 754,
  243, 122, 455, 195, 968, 793, 59, 730, 361, 574, 522, 97, 762, 431, 158, 429, 414, 22, 629, 788,
  999, 187, 215, 810, 782, 47, 34, 108, 986, 25, 644, 829, 630, 315, 567, 919, 331, 207, 412, 242,
  607, 668, 944, 749, 168, 864, 442, 533, 805, 372, 63, 458, 777, 416, 340, 436, 140, 919, 350, 510,
  572, 905, 900, 85, 389, 473, 758, 444, 169, 625, 692, 140, 897, 672, 288, 312, 860, 724, 226, 884,
  508, 976, 741, 476, 417, 831, 15, 318, 432, 241, 114, 799, 955, 833, 358, 935, 146, 630, 830, 440,
  642, 356, 373, 271, 715, 367, 393, 190, 669, 8, 861, 108, 795, 269, 590, 326, 866, 64, 523, 862,
  840, 219, 382, 998, 4, 628, 305, 747, 247, 34, 747, 729, 645, 856, 974, 24, 568, 24, 694, 608,
  480, 410, 729, 947, 293, 53, 930, 223, 203, 677, 227, 62, 455, 387, 318, 562, 242, 428, 968,
];

/** NIST StRD, univariate, set Lew (H. S. Lew, steel-concrete beam deflection, 1969). */
const LEW = [
  -213, -564, -35, -15, 141, 115, -420, -360, 203, -338, -431, 194, -220, -513, 154, -125, -559, 92,
  -21, -579, -52, 99, -543, -175, 162, -457, -346, 204, -300, -474, 164, -107, -572, -8, 83, -541,
  -224, 180, -420, -374, 201, -236, -531, 83, 27, -564, -112, 131, -507, -254, 199, -311, -495, 143,
  -46, -579, -90, 136, -472, -338, 202, -287, -477, 169, -124, -568, 17, 48, -568, -135, 162, -430,
  -422, 172, -74, -577, -13, 92, -534, -243, 194, -355, -465, 156, -81, -578, -64, 139, -449, -384,
  193, -198, -538, 110, -44, -577, -6, 66, -552, -164, 161, -460, -344, 205, -281, -504, 134, -28,
  -576, -118, 156, -437, -381, 200, -220, -540, 83, 11, -568, -160, 172, -414, -408, 188, -125,
  -572, -32, 139, -492, -321, 205, -262, -504, 142, -83, -574, 0, 48, -571, -106, 137, -501, -266,
  190, -391, -406, 194, -186, -553, 83, -13, -577, -49, 103, -515, -280, 201, 300, -506, 131, -45,
  -578, -80, 138, -462, -361, 201, -211, -554, 32, 74, -533, -235, 187, -372, -442, 182, -147, -566,
  25, 68, -535, -244, 194, -351, -463, 174, -125, -570, 15, 72, -550, -190, 172, -424, -385, 198,
  -218, -536, 96,
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
    ['Lottery', LOTTERY, 518.95871559633, 291.699727470969, -0.120948622967393, 14, 14, 13],
    ['Lew', LEW, -177.435, 277.332168044316, -0.307304800605679, 14, 14, 14],
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
  it('has the published boundaries', () => {
    // A. Wald 1947 (from memory, arithmetic checked): alpha = beta = 0.05: 2.9444 both ways.
    expect(ln(19)).toBeCloseTo(2.9444, 4);
    expect(ln((1 - 0.1) / 0.05)).toBeCloseTo(2.8904, 4);
    expect(ln(0.1 / 0.95)).toBeCloseTo(-2.2513, 4);
  });

  it('gives the published lines of an attributes plan', () => {
    // NIST/SEMATECH e-Handbook, 6.2.6: 1 % against 10 %, alpha 0.05, beta 0.10 (from memory,
    // recomputed): accept below -0.939 + 0.0397 n, reject above 1.205 + 0.0397 n.
    const [p, q] = [0.01, 0.1];
    const k = ln((q * (1 - p)) / (p * (1 - q)));
    expect(ln(0.1 / 0.95) / k).toBeCloseTo(-0.939, 3);
    expect(ln(0.9 / 0.05) / k).toBeCloseTo(1.205, 3);
    expect(ln((1 - p) / (1 - q)) / k).toBeCloseTo(0.0397, 4);
  });

  // Wald's approximation of the average number leaves out the overshoot, so a little more is used.
  // Two means one deviation apart, 5 % and 5 %: 5.30 against 10.82 for a fixed number; half a
  // deviation apart, 5 % and 10 %: 15.95 and 19.01 against 34.26 (computed from his formulas).
  it.each([
    [0, 1, 0.05, 0.05, 5.3, 7.4],
    [0, 0.5, 0.05, 0.1, 15.95, 19],
    [1, 0.5, 0.05, 0.1, 19.01, 22.5],
  ])(
    'needs about the published number of readings under hypothesis %d, apart by %d deviations',
    (truth, apart, alpha, beta, least, most) => {
      const random = createRandom(11);
      const [accept, reject] = [ln(beta / (1 - alpha)), ln((1 - beta) / alpha)];
      const runs = 4000;
      let used = 0;
      let wrong = 0;
      for (let run = 0; run < runs; run += 1) {
        let sum = 0;
        while (sum < reject && sum > accept) {
          sum += apart * (random.normal() + truth * apart - apart / 2);
          used += 1;
        }
        if (sum >= reject !== (truth === 1)) wrong += 1;
      }
      expect(used / runs).toBeGreaterThan(least);
      expect(used / runs).toBeLessThan(most);
      expect(wrong / runs).toBeLessThan(truth === 1 ? beta : alpha);
    },
  );
});

describe('OIML R 51-1 (MID 2014/32/EU, annex VIII, chapter II, table 1; UK SI 2016/1153)', () => {
  // Load in divisions up to which the errors hold: static, automatic, in divisions.
  const TABLE = {
    'Y(a)': [
      [500, 0.5, 1],
      [2000, 1, 1.5],
      [10_000, 1.5, 2],
    ],
    'Y(b)': [
      [50, 0.5, 1],
      [200, 1, 1.5],
      [1000, 1.5, 2],
    ],
  } as const;

  it.each([
    ['Y(a)', 'III'],
    ['Y(b)', 'IIII'],
  ] as const)('class %s allows at rest what R 76-1 allows class %s', (kind, name) => {
    for (const [n, atRest] of TABLE[kind]) {
      expect(permissibleErrorKg(name, 0.1, 0.1 * n, 'verification')).toBeCloseTo(0.1 * atRest, 12);
    }
  });

  it('is kept by weights of calm animals, as a yardstick: no scale is certified by that', () => {
    const calm = flockOf('calm');
    const [, , automatic] = TABLE['Y(a)'][0];
    const within = calm.filter(([kg, found]) => Math.abs(found - kg) <= automatic * 0.1);
    expect(within.length / calm.length).toBeGreaterThan(0.98);
  });
});

/** True and recorded weights of a flock, kg. */
function flockOf(scenario: Scenario): [number, number][] {
  const flock = Array.from({ length: 100 }, (_, i) =>
    secondAnimal({ scenario, seed: 4000 + i, trueKg: 28 + ((i * 37) % 220) / 10 }),
  );
  return runOurs(flock, configFor(0.1, 10), 0.995).map(({ trueKg, kg }) => [trueKg, kg ?? 0]);
}

describe('against another library', () => {
  it('by its regression recorded weights rise with true ones, one to one', () => {
    const line = simple.linearRegression(flockOf('mixed'));
    expect(line.m).toBeGreaterThan(0.997);
    expect(line.m).toBeLessThan(1.003);
    expect(simple.linearRegressionLine(line)(40)).toBeCloseTo(40, 1);
  });

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
