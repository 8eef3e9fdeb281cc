/**
 * The check with a known mass: in the middle and at the corners of the platform, against the
 * errors that OIML R 76-1 allows the class that Max and division imply. Not for trade use: the
 * limits are a yardstick for a farm's own scale, not a verification.
 */

/** Accuracy classes that a livestock scale can be. */
export type AccuracyClass = 'III' | 'IIII';

export interface CheckWeight {
  /** Mass put on, kg, as marked on it. */
  massKg: number;
  /** Reading with it in the middle, kg, zero subtracted. */
  middleKg: number;
  /** Readings with it at the corners, kg, in any order; empty where not done. */
  cornersKg: readonly number[];
  /** Error in the middle at the last check, kg, or null where there was none. */
  lastErrorKg: number | null;
}

export interface CheckResult {
  accuracyClass: AccuracyClass | null;
  /** Greatest error allowed in service at this mass, kg; null without a class. */
  limitKg: number | null;
  /** Reading less mass, middle. */
  errorKg: number;
  /** Farthest corner from the middle, signed; null where no corner was done. */
  cornerKg: number | null;
  /** Change of the error since the last check; null where there was none. */
  driftKg: number | null;
  /** Every reading within the limit; null without a class. */
  within: boolean | null;
  /** Too light to tell: below the least load of the class (20 d for III, 10 d for IIII). */
  tooLight: boolean;
}

/**
 * The class that n = Max / d divisions imply (OIML R 76-1 table 3; UK SI 1995/1907, schedule 2,
 * table 1): 500 to 10,000 is III, 100 to below 500 is IIII; null beyond, or where d is no 1, 2 or 5
 * times a power of ten. Between 500 and 1,000 either would do; the stricter is taken.
 * @param maxKg greatest load, @param divisionKg division, both kg and above 0.
 */
export function classOf(maxKg: number, divisionKg: number): AccuracyClass | null {
  const n = Math.round(maxKg / divisionKg);
  if (!isStandardDivision(divisionKg) || n < 100 || n > 10_000) return null;
  return n >= 500 ? 'III' : 'IIII';
}

function isStandardDivision(divisionKg: number): boolean {
  if (!(divisionKg > 0.001) || divisionKg > 100) return false;
  let x = divisionKg;
  while (x < 0.99) x *= 10;
  while (x > 9.99) x /= 10;
  return [1, 2, 5].some((digit) => Math.abs(x - digit) < 1e-6);
}

/** Upper ends of the steps of load, in divisions, with 0.5, 1 and 1.5 divisions of error. */
const STEPS: Record<AccuracyClass, readonly [number, number]> = {
  III: [500, 2000],
  IIII: [50, 200],
};

/**
 * Greatest permissible error at a load, kg (OIML R 76-1 table 6; UK SI 1995/1907, schedule 2,
 * table 3): 0.5, 1 or 1.5 divisions on verification, twice that in service.
 * @param loadKg 0 or more.
 */
export function permissibleErrorKg(
  accuracyClass: AccuracyClass,
  divisionKg: number,
  loadKg: number,
  when: 'verification' | 'service',
): number {
  const n = loadKg / divisionKg - 1e-9;
  const [first, second] = STEPS[accuracyClass];
  const divisions = n <= first ? 0.5 : n <= second ? 1 : 1.5;
  return divisions * divisionKg * (when === 'service' ? 2 : 1);
}

/**
 * Judges one check. Corners are held to the same limit as the middle (OIML R 76-1, 3.6.2, from
 * memory).
 */
export function checkWeight(maxKg: number, divisionKg: number, check: CheckWeight): CheckResult {
  const { massKg, middleKg, cornersKg, lastErrorKg } = check;
  const accuracyClass = classOf(maxKg, divisionKg);
  const limitKg =
    accuracyClass === null
      ? null
      : permissibleErrorKg(accuracyClass, divisionKg, massKg, 'service');
  const errorKg = clean(middleKg - massKg);
  const offs = cornersKg.map((kg) => clean(kg - middleKg));
  const cornerKg = offs.reduce<number | null>(
    (most, off) => (most === null || Math.abs(off) > Math.abs(most) ? off : most),
    null,
  );
  const within =
    limitKg === null
      ? null
      : [middleKg, ...cornersKg].every((kg) => Math.abs(kg - massKg) <= limitKg + 1e-9);
  return {
    accuracyClass,
    limitKg: limitKg === null ? null : clean(limitKg),
    errorKg,
    cornerKg,
    driftKg: lastErrorKg === null ? null : clean(errorKg - lastErrorKg),
    within,
    tooLight: massKg < (accuracyClass === 'III' ? 20 : 10) * divisionKg - 1e-9,
  };
}

/** Whole grams: differences of readings carry binary dust. */
function clean(kg: number): number {
  return Math.round(kg * 1000) / 1000 + 0;
}
