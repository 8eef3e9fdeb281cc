import { expect, test } from 'vitest';
import { cableLoss, smallestSize } from '../../src/fitting/cable.ts';

// Source: two-way drop of class 5 conductors by IEC 60228:2004, computed by hand from its table.
test.each([
  [6, 8, 1.5, 1.28, 10.6],
  [6, 8, 2.5, 0.77, 6.4],
  [6, 8, 4, 0.48, 4.0],
  [6, 8, 6, 0.32, 2.6],
  [10, 10, 1.5, 2.66, 22.2],
  [10, 10, 2.5, 1.6, 13.3],
  [10, 10, 4, 0.99, 8.3],
  [10, 10, 6, 0.66, 5.5],
])('%d A over %d m of %d mm² lose %d V, %d per cent', (amps, metres, mm2, volts, percent) => {
  const loss = cableLoss({ amps, metres, mm2, celsius: 20, volts: 12 });
  // The table is rounded to 0.01 V.
  expect(Math.abs((loss?.dropVolts ?? 0) - volts)).toBeLessThanOrEqual(0.0051);
  expect(Math.abs((loss?.dropPercent ?? 0) - percent)).toBeLessThanOrEqual(0.06);
  expect(loss?.voltsAtLoad).toBeCloseTo(12 - (loss?.dropVolts ?? 0), 9);
});

test('at 40 °C it is 1.079 times as much (coefficient 0.00393, from memory)', () => {
  const at = (celsius: number): number =>
    cableLoss({ amps: 100, metres: 100, mm2: 16, celsius, volts: 12 })?.dropVolts ?? 0;
  expect(at(40) / at(20)).toBeCloseTo(1.079, 3);
  // Published Kt at 40 °C is 0.926, which brings a measured resistance back to 20 °C.
  expect(at(20) / at(40)).toBeCloseTo(0.926, 2);
});

test('the smallest size for an allowed loss, and no answer where none will do', () => {
  expect(smallestSize({ amps: 6, metres: 8, celsius: 20, volts: 12 }, 5)).toBe(4);
  expect(smallestSize({ amps: 100, metres: 100, celsius: 20, volts: 12 }, 5)).toBeNull();
  expect(cableLoss({ amps: 6, metres: 8, mm2: 3, celsius: 20, volts: 12 })).toBeNull();
});
