import { expect, test } from 'vitest';
import {
  carriedAmps,
  cableLoss,
  fusedSize,
  fuseFor,
  smallestSize,
} from '../../src/fitting/cable.ts';

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

// Rough free-air figures of thin PVC cable at 30 °C and blade ratings: from memory. Fuse: rated above
// the load, at or below what the conductor carries.
test.each([
  [6, 2.5, 20, 7.5],
  [6, 0.75, 20, null],
  [10, 1.5, 20, 15],
  [12, 1.5, 20, 15],
  [12.1, 1.5, 20, null],
  [15, 2.5, 55, null],
  [15, 4, 55, null],
  [10, 4, 55, 15],
])('%d A on %d mm² at %d °C: a fuse of %s A', (amps, mm2, celsius, fuse) => {
  expect(fuseFor(amps, mm2, celsius)).toBe(fuse);
});

test('a fuse never lets through more than its cable carries, hot or cold', () => {
  for (const mm2 of [0.75, 1, 1.5, 2.5, 4, 6]) {
    for (let celsius = -20; celsius <= 70; celsius += 5) {
      const carried = carriedAmps(mm2, celsius) ?? 0;
      for (let amps = 0.5; amps < 50; amps += 0.5) {
        const fuse = fuseFor(amps, mm2, celsius);
        if (fuse !== null) expect(fuse).toBeLessThanOrEqual(carried);
        if (fuse !== null) expect(fuse).toBeGreaterThan(amps);
      }
    }
  }
  expect(carriedAmps(16, 20)).toBeNull();
});

test('the size that can be fused is at least the one for the loss', () => {
  // 6 A over 1 m loses little in 0.5 mm², which no fuse for 6 A protects.
  const short = { amps: 6, metres: 1, celsius: 20, volts: 12 };
  expect(smallestSize(short, 5)).toBe(0.5);
  expect(fusedSize(short, 5)).toBe(1);
  expect(fusedSize({ ...short, amps: 100 }, 50)).toBeNull();
});
