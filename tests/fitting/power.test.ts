import { expect, test } from 'vitest';
import { powerOf } from '../../src/fitting/power.ts';

const CABLE = { amps: 6, metres: 8, celsius: 20, volts: 12, allow: 5 };

// Source of the loss: two-way drop of class 5 conductors by IEC 60228:2004, computed by hand from its table.
test('the smallest size with its loss and fuse; no battery asked, none answered', () => {
  const power = powerOf(CABLE);
  expect(power).toMatchObject({ smallest: 4, mm2: 4, charge: null, hours: null });
  // The table is rounded to 0.01 V.
  expect(Math.abs((power.loss?.dropVolts ?? 0) - 0.48)).toBeLessThanOrEqual(0.0051);
  expect(power.fuse).not.toBeNull();
  expect(power.carries).toBeGreaterThan(power.fuse ?? Infinity);
});

test('a size that was asked for keeps its own loss, beside the smallest that would do', () => {
  const power = powerOf({ ...CABLE, mm2: 2.5 });
  expect(power).toMatchObject({ smallest: 4, mm2: 2.5 });
  expect(power.loss?.dropPercent).toBeCloseTo(6.4, 1);
});

test('where no size will do there is no loss and no fuse', () => {
  const power = powerOf({ ...CABLE, amps: 100, metres: 100 });
  expect(power).toMatchObject({ smallest: null, mm2: null, loss: null, fuse: null });
});

test('hours follow the range of the charge', () => {
  const battery = {
    ...{ restVolts: 12.4, ampHours: 70, idleAmps: 1 },
    ...{ strokesAnHour: 400, strokeSeconds: 1 },
  };
  const { charge, hours } = powerOf({ ...CABLE, battery });
  expect(charge?.from).toBeLessThan(charge?.percent ?? 0);
  expect(hours?.least).toBeLessThan(hours?.about ?? 0);
  expect(hours?.most).toBeGreaterThan(hours?.about ?? Infinity);
});
