import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  cosineOfTurns,
  exp,
  ln,
  normalCdf,
  normalDensity,
  normalInverse,
  studentInverse,
} from '../../src/core/normal.ts';

const close = (found: number, wanted: number, relative: number): void => {
  expect(Math.abs(found - wanted)).toBeLessThanOrEqual(relative * Math.abs(wanted));
};

describe('exponential and logarithm', () => {
  it('gives the published digits', () => {
    // OEIS A001113 (e), A002162 (ln 2), A002392 (ln 10), A092553 (1/e^2).
    close(exp(1), 2.718281828459045, 1e-15);
    close(ln(2), 0.6931471805599453, 1e-15);
    close(ln(10), 2.302585092994046, 1e-15);
    close(exp(-2), 0.1353352832366127, 1e-15);
  });

  it('agrees with the built-in functions to the last digits', () => {
    fc.assert(
      fc.property(fc.double({ min: -700, max: 700, noNaN: true }), (x) => {
        close(exp(x), Math.exp(x), 1e-15);
      }),
    );
    fc.assert(
      fc.property(fc.double({ min: 1e-300, max: 1e300, noNaN: true }), (x) => {
        expect(Math.abs(ln(x) - Math.log(x))).toBeLessThanOrEqual(
          1e-15 + 1e-15 * Math.abs(Math.log(x)),
        );
      }),
    );
  });

  it('stays finite whatever it is given', () => {
    for (const x of [NaN, Infinity, -Infinity, 1e308, -1e308, 0, -0, 5e-324]) {
      expect(Number.isFinite(exp(x))).toBe(true);
      expect(Number.isFinite(ln(x))).toBe(true);
    }
  });

  it('undoes itself', () => {
    fc.assert(
      fc.property(fc.double({ min: -300, max: 300, noNaN: true }), (x) => {
        expect(Math.abs(ln(exp(x)) - x)).toBeLessThanOrEqual(1e-13);
      }),
    );
  });
});

describe('normal distribution', () => {
  it('gives the published probabilities', () => {
    // Abramowitz and Stegun, table 26.1, P(x) to 15 places.
    close(normalCdf(1), 0.841344746068543, 1e-14);
    close(normalCdf(2), 0.97724986805182, 1e-14);
    close(normalCdf(3), 0.99865010196837, 1e-14);
    close(normalCdf(0.5), 0.691462461274013, 1e-14);
    // JCGM 106:2012, 7.3, diode example (from memory; arithmetic checked): 0.919.
    expect(normalCdf(1.4)).toBeCloseTo(0.919, 3);
    close(normalDensity(0), 0.3989422804014327, 1e-15);
  });

  it('keeps its digits in the lower tail', () => {
    // High precision values (50 digits, rounded): Q(5), Q(8), Q(20).
    close(normalCdf(-5), 2.8665157187919391e-7, 1e-12);
    close(normalCdf(-8), 6.2209605742717841e-16, 1e-12);
    close(normalCdf(-20), 2.7536241186062337e-89, 1e-12);
  });

  it('inverts to the published quantiles', () => {
    // Test values of algorithm AS 241 (Wichura 1988) and common tables.
    close(normalInverse(0.25), -0.6744897501960817, 1e-15);
    close(normalInverse(0.001), -3.090232306167813, 1e-14);
    close(normalInverse(1e-20), -9.262340089798408, 1e-14);
    close(normalInverse(0.975), 1.959963984540054, 1e-15);
    close(normalInverse(0.95), 1.6448536269514722, 1e-15);
    close(normalInverse(0.995), 2.5758293035489004, 1e-15);
  });

  it('goes there and back', () => {
    fc.assert(
      fc.property(fc.double({ min: -6, max: 6, noNaN: true }), (x) => {
        const tolerance = 1e-13 + 1e-15 / normalDensity(x);
        expect(Math.abs(normalInverse(normalCdf(x)) - x)).toBeLessThanOrEqual(tolerance);
      }),
    );
  });
});

describe('Student quantiles', () => {
  it('agrees with the printed table', () => {
    // Abramowitz and Stegun, table 26.10 (two-sided 0.95 and 0.99).
    close(studentInverse(0.975, 3), 3.182, 0.01);
    close(studentInverse(0.975, 5), 2.571, 0.001);
    close(studentInverse(0.975, 10), 2.228, 0.001);
    close(studentInverse(0.975, 30), 2.042, 0.001);
    close(studentInverse(0.995, 4), 4.604, 0.01);
    close(studentInverse(0.995, 10), 3.169, 0.001);
    close(studentInverse(0.995, 1e9), 2.576, 0.001);
  });
});

describe('cosine', () => {
  it('agrees with the built-in function over whole turns', () => {
    fc.assert(
      fc.property(fc.double({ min: -20, max: 20, noNaN: true }), (turns) => {
        expect(cosineOfTurns(turns)).toBeCloseTo(Math.cos(2 * Math.PI * turns), 12);
      }),
    );
  });
});
