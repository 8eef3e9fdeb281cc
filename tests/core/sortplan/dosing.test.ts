import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { doseMl, type Given } from '../../../src/core/sortplan/dosing.ts';

const given = (mlPerKg: number, stepMl: number): Given => ({
  ...{ product: 'x', batch: '', expiry: '', days: 7, use: 'label' },
  ...{ mlPerKg, stepMl },
});

describe('the dose for a weight', () => {
  test.each([
    // 0.2 ml a kg: 8.26 ml for 41.3 kg, to the next half
    [0.2, 0.5, 41.3, 8.5],
    [0.2, 0.5, 40, 8],
    [0.2, 0.5, 40.01, 8.5],
    // 1 ml for 50 kg, by tenths
    [0.02, 0.1, 35, 0.7],
    [0.1, 1, 12.3, 2],
  ])('%d ml a kg by steps of %d ml: %d kg is given %d ml', (perKg, step, kg, ml) => {
    expect(doseMl(given(perKg, step), kg, null)).toBe(ml);
  });

  test('stands while the weight asks for nearly the same, and follows when it does not', () => {
    const what = given(0.2, 0.5);
    expect(doseMl(what, 40.1, 8)).toBe(8); // 8.02 ml: less than a tenth of a step over
    expect(doseMl(what, 40.3, 8)).toBe(8.5);
    expect(doseMl(what, 39.9, 8.5)).toBe(8.5);
    expect(doseMl(what, 36, 8.5)).toBe(7.5);
  });

  test('is never less than a tenth of a step under what the weight asks for, nor a step over', () => {
    const perKg = fc.integer({ min: 1, max: 1000 }).map((n) => n / 1000);
    const step = fc.constantFrom(0.05, 0.1, 0.25, 0.5, 1, 2);
    const kg = fc.integer({ min: 500, max: 9000 }).map((n) => n / 100);
    const shown = fc.option(fc.integer({ min: 1, max: 100 }));
    fc.assert(
      fc.property(perKg, step, kg, shown, (perKgMl, stepMl, weight, steps) => {
        const what = given(perKgMl, stepMl);
        const before = steps === null ? null : steps * stepMl;
        const ml = doseMl(what, weight, before);
        const asked = weight * perKgMl;
        expect(ml).toBeGreaterThanOrEqual(asked - 0.101 * stepMl - 0.002);
        expect(ml).toBeLessThanOrEqual(asked + 1.101 * stepMl + 0.002);
        expect(Math.abs(ml / stepMl - Math.round(ml / stepMl))).toBeLessThan(0.02);
      }),
    );
  });
});
