import { describe, expect, test } from 'vitest';
import { chargeOf, hoursLeft } from '../../src/fitting/battery.ts';

describe('state of charge from the voltage at rest', () => {
  // Sources: three published tables of 12 V lead-acid batteries (12.66 and 12.45 V for 100 and 75 %;
  // 12.6/12.4/12.2/12.0/11.6; 12.7/12.45/12.2/11.95/<11.8 for 100/75/50/25/0 %).
  test.each([
    [12.66, 100, 6],
    [12.45, 75, 7],
    [12.2, 50, 1],
    [11.98, 25, 4],
    [11.6, 0, 1],
  ])('%d V is about %d per cent', (volts, percent, off) => {
    expect(Math.abs(chargeOf(volts).percent - percent)).toBeLessThanOrEqual(off);
  });

  // Source: a tenth of the charge is about 0.1 V, and a one-per-cent meter errs by 0.12 V.
  test('a usual meter leaves some forty per cent between least and most', () => {
    const { percent, from, to } = chargeOf(12.3);
    expect(from).toBeLessThan(percent - 10);
    expect(to).toBeGreaterThan(percent + 10);
    const fine = chargeOf(12.3, 0.01);
    expect(fine.to - fine.from).toBeLessThan(8);
  });

  test('it never falls with a higher voltage, and stays from 0 to 100', () => {
    let before = 0;
    for (let volts = 10; volts < 15; volts += 0.01) {
      const { percent, from, to } = chargeOf(volts);
      expect(percent).toBeGreaterThanOrEqual(before);
      expect(from).toBeGreaterThanOrEqual(0);
      expect(to).toBeLessThanOrEqual(100);
      expect(from).toBeLessThanOrEqual(percent);
      expect(to).toBeGreaterThanOrEqual(percent);
      before = percent;
    }
  });
});

test('hours by the mean current, worked by hand', () => {
  // 400 strokes of 1 s at 6 A are 2400 As an hour, 0.667 A; with 1 A beside 1.667 A. 70 Ah from full to
  // half are 35 Ah: 21 h.
  const use = { ampHours: 70, idleAmps: 1, strokesAnHour: 400, strokeSeconds: 1, strokeAmps: 6 };
  expect(hoursLeft(use, 100)).toBeCloseTo(21, 1);
  expect(hoursLeft(use, 40)).toBe(0);
  expect(hoursLeft({ ...use, strokesAnHour: 0 }, 100)).toBeCloseTo(35, 6);
});
