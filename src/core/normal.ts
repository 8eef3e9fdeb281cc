/**
 * Exponential, logarithm and the normal distribution from our own polynomials, with + - * / and
 * sqrt only: the built-in functions give other last bits on other processors and versions, and a
 * replay must give the same bytes everywhere.
 */

const LN2_HIGH = 0.69314718036912381649; // the upper bits of ln 2, so that k * LN2_HIGH is exact
const LN2_LOW = 1.90821492927058770002e-10;
const LN2 = 0.6931471805599453;
const SMALLEST = 2.3e-308;
const SQRT_2PI = 2.5066282746310002;

/** Taylor coefficients 1/n! for n = 13 down to 0. */
const EXP_TERMS = [
  1 / 6227020800,
  1 / 479001600,
  1 / 39916800,
  1 / 3628800,
  1 / 362880,
  1 / 40320,
  1 / 5040,
  1 / 720,
  1 / 120,
  1 / 24,
  1 / 6,
  1 / 2,
  1,
  1,
];

/** Taylor coefficients of artanh(s) / s in powers of s squared. */
const ARTANH_TERMS = [23, 21, 19, 17, 15, 13, 11, 9, 7, 5, 3, 1].map((n) => 1 / n);

/** Value of a polynomial by Horner's rule, highest power first. */
function polynomial(terms: readonly number[], x: number): number {
  let sum = 0;
  for (let i = 0; i < terms.length; i += 1) sum = sum * x + (terms[i] ?? 0);
  return sum;
}

/** 2 to a whole power between -1074 and 1023, exact. */
function powerOfTwo(k: number): number {
  let result = 1;
  let base = k < 0 ? 0.5 : 2;
  for (let n = Math.abs(k); n > 0; n = Math.floor(n / 2)) {
    if (n % 2 === 1) result *= base;
    base *= base;
  }
  return result;
}

/**
 * e to the power x.
 * @param x any number; below -745 gives 0, above 709.78 gives the largest double (never Infinity).
 * @returns relative error below 1e-15. Argument reduction by ln 2, then Taylor's series.
 */
export function exp(x: number): number {
  if (x !== x) return 0;
  if (x < -708) return 0;
  if (x > 709) return Number.MAX_VALUE;
  const k = Math.round(x / LN2);
  const r = x - k * LN2_HIGH - k * LN2_LOW;
  return polynomial(EXP_TERMS, r) * powerOfTwo(k);
}

const SHIFTS = [512, 256, 128, 64, 32, 16, 8, 4, 2, 1];
const POWERS = SHIFTS.map(powerOfTwo);

/**
 * Natural logarithm.
 * @param x a positive number; below 2.3e-308 counts as that (ln = -708.4), so never -Infinity.
 * @returns relative error below 1e-15. ln x = k ln 2 + 2 artanh((m - 1) / (m + 1)).
 */
export function ln(x: number): number {
  let m = x > SMALLEST ? Math.min(x, Number.MAX_VALUE) : SMALLEST;
  let k = 0;
  if (m >= 2 || m < 1) {
    // Most arguments are of everyday size and need only the small powers.
    for (let i = m > 6e4 || m < 2e-5 ? 0 : 6; i < POWERS.length; i += 1) {
      const power = POWERS[i] ?? 1;
      const shift = SHIFTS[i] ?? 0;
      if (m >= power) {
        m /= power;
        k += shift;
      } else if (m * power < 2) {
        m *= power;
        k -= shift;
      }
    }
  }
  if (m > 1.4142135623730951) {
    m /= 2;
    k += 1;
  }
  const s = (m - 1) / (m + 1);
  const s2 = s * s;
  const series = polynomial(ARTANH_TERMS, s2);
  return k * LN2_HIGH + (2 * s * series + k * LN2_LOW);
}

/** Density of the standard normal distribution at x. */
export function normalDensity(x: number): number {
  return exp(-0.5 * x * x) / SQRT_2PI;
}

/**
 * Cumulative standard normal distribution.
 * @param x any number.
 * @returns 0 to 1, absolute error below 1e-15; relative error below 1e-12 in the lower tail.
 * Series in odd powers near 0 (G. Marsaglia, J. Stat. Softw. 11(4), 2004), continued fraction of
 * the upper tail beyond 3 (Abramowitz and Stegun 26.2.14).
 */
export function normalCdf(x: number): number {
  if (x !== x) return 0.5;
  const a = Math.abs(x);
  if (a < 3) {
    let term = x;
    let sum = x;
    for (let n = 3; n < 100 && Math.abs(term) > 1e-18; n += 2) {
      term *= (x * x) / n;
      sum += term;
    }
    return 0.5 + sum * normalDensity(x);
  }
  let tail = a;
  for (let n = 60; n >= 1; n -= 1) tail = a + n / tail;
  const upper = normalDensity(a) / tail;
  return x > 0 ? 1 - upper : upper;
}

const CENTRE_OVER = [
  2509.0809287301226727, 33430.575583588128105, 67265.770927008700853, 45921.953931549871457,
  13731.693765509461125, 1971.5909503065514427, 133.14166789178437745, 3.387132872796366608,
];
const CENTRE_UNDER = [
  5226.495278852545925, 28729.085735721942674, 39307.89580009271061, 21213.794301586595867,
  5394.1960214247511077, 687.1870074920579083, 42.313330701600911252, 1,
];
const MIDDLE_OVER = [
  7.7454501427834140764e-4, 0.0227238449892691845833, 0.24178072517745061177,
  1.27045825245236838258, 3.64784832476320460504, 5.7694972214606914055, 4.6303378461565452959,
  1.42343711074968357734,
];
const MIDDLE_UNDER = [
  1.05075007164441684324e-9, 5.475938084995344946e-4, 0.0151986665636164571966,
  0.14810397642748007459, 0.68976733498510000455, 1.6763848301838038494, 2.05319162663775882187, 1,
];
const TAIL_OVER = [
  2.01033439929228813265e-7, 2.71155556874348757815e-5, 0.0012426609473880784386,
  0.026532189526576123093, 0.29656057182850489123, 1.7848265399172913358, 5.4637849111641143699,
  6.6579046435011037772,
];
const TAIL_UNDER = [
  2.04426310338993978564e-15, 1.4215117583164458887e-7, 1.8463183175100546818e-5,
  7.868691311456132591e-4, 0.0148753612908506148525, 0.13692988092273580531, 0.59983220655588793769,
  1,
];

/**
 * Inverse of the standard normal distribution.
 * @param p between 0 and 1; values outside 1e-300 to 1 - 1e-16 are moved to that bound.
 * @returns z with normalCdf(z) = p, relative error below 1e-15.
 * M. J. Wichura, Algorithm AS 241 (PPND16), Applied Statistics 37 (1988) 477-484.
 */
export function normalInverse(p: number): number {
  const bounded = p === p ? Math.min(1 - 1.2e-16, Math.max(1e-300, p)) : 0.5;
  const q = bounded - 0.5;
  if (Math.abs(q) <= 0.425) {
    const r = 0.180625 - q * q;
    return (q * polynomial(CENTRE_OVER, r)) / polynomial(CENTRE_UNDER, r);
  }
  const r = Math.sqrt(-ln(q < 0 ? bounded : 1 - bounded));
  const z =
    r <= 5
      ? polynomial(MIDDLE_OVER, r - 1.6) / polynomial(MIDDLE_UNDER, r - 1.6)
      : polynomial(TAIL_OVER, r - 5) / polynomial(TAIL_UNDER, r - 5);
  return q < 0 ? -z : z;
}

/**
 * Quantile of Student's t distribution, for widening an interval whose scatter was estimated from
 * few readings.
 * @param p 0.5 to 0.995.
 * @param degrees degrees of freedom, need not be whole; below 3 counts as 3.
 * @returns t, within 1 % at 3 degrees and 0.01 % from 10 on (Cornish-Fisher series, Abramowitz and
 * Stegun 26.7.5).
 */
export function studentInverse(p: number, degrees: number): number {
  const n = Math.max(3, degrees);
  const z = normalInverse(p);
  const z2 = z * z;
  const g1 = (z * (z2 + 1)) / 4;
  const g2 = (z * ((5 * z2 + 16) * z2 + 3)) / 96;
  const g3 = (z * (((3 * z2 + 19) * z2 + 17) * z2 - 15)) / 384;
  const g4 = (z * ((((79 * z2 + 776) * z2 + 1482) * z2 - 1920) * z2 - 945)) / 92160;
  return z + (g1 + (g2 + (g3 + g4 / n) / n) / n) / n;
}

const QUARTER_TURN = 1.5707963267948966;

/**
 * Cosine of a whole-turn fraction.
 * @param turns any number; 1 is a whole turn.
 * @returns absolute error below 1e-14. Reduced to a quarter turn, then Taylor's series.
 */
export function cosineOfTurns(turns: number): number {
  const whole = Math.abs(turns) % 1;
  const half = whole > 0.5 ? 1 - whole : whole;
  const sign = half > 0.25 ? -1 : 1;
  const x = (half > 0.25 ? 0.5 - half : half) * 4 * QUARTER_TURN;
  const x2 = x * x;
  let term = 1;
  let sum = 1;
  for (let n = 2; n <= 22; n += 2) {
    term *= -x2 / (n * (n - 1));
    sum += term;
  }
  return sign * sum;
}
