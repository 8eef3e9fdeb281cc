import { describe, expect, it } from 'vitest';
import {
  checkWeight,
  classOf,
  permissibleErrorKg,
} from '../../../src/core/weighing/check-weight.ts';

describe('the class that Max and division imply', () => {
  // OIML R 76-1:2006, table 3, as in UK SI 1995/1907, schedule 2, table 1.
  it.each([
    [200, 0.1, 'III'],
    [200, 0.5, 'IIII'],
    [300, 0.2, 'III'],
    [50, 0.1, 'III'],
    [1000, 0.05, null],
    [20, 0.5, null],
    [200, 0.3, null],
  ])('Max %d kg in %d kg is %s', (maxKg, divisionKg, wanted) => {
    expect(classOf(maxKg, divisionKg)).toBe(wanted);
  });
});

describe('permissible errors', () => {
  // UK SI 1995/1907, schedule 2, table 3 (OIML R 76-1, table 6): worked for both classes.
  it.each([
    ['III', 0.1, 50, 0.05],
    ['III', 0.1, 50.1, 0.1],
    ['III', 0.1, 200, 0.1],
    ['III', 0.1, 200.1, 0.15],
    ['IIII', 0.5, 25, 0.25],
    ['IIII', 0.5, 25.5, 0.5],
    ['IIII', 0.5, 100, 0.5],
    ['IIII', 0.5, 200, 0.75],
  ] as const)('class %s, d %d kg, load %d kg: %d kg, in service twice', (name, d, load, limit) => {
    expect(permissibleErrorKg(name, d, load, 'verification')).toBeCloseTo(limit, 12);
    expect(permissibleErrorKg(name, d, load, 'service')).toBeCloseTo(2 * limit, 12);
  });
});

describe('a check with a 25 kg bag', () => {
  const check = { massKg: 25, middleKg: 25.1, cornersKg: [25.1, 25, 25.2, 25.1], lastErrorKg: 0 };

  it('tells error, corner difference and drift', () => {
    const found = checkWeight(200, 0.1, check);
    expect(found).toMatchObject({ errorKg: 0.1, cornerKg: -0.1, driftKg: 0.1, limitKg: 0.1 });
    expect(found.within).toBe(false);
  });

  it('passes when every reading is within the limit', () => {
    const found = checkWeight(200, 0.1, { ...check, cornersKg: [25.1, 25, 25, 25.1] });
    expect(found.within).toBe(true);
    expect(found.tooLight).toBe(false);
  });

  it('says nothing without a class, and that a mass is too light', () => {
    expect(checkWeight(200, 0.3, check).within).toBeNull();
    const light = { massKg: 1, middleKg: 1, cornersKg: [], lastErrorKg: null };
    expect(checkWeight(200, 0.1, light)).toMatchObject({
      tooLight: true,
      cornerKg: null,
      driftKg: null,
    });
  });
});
