/** The statistics that the bench prints; checked against published values in tests/reference. */

export function mean(values: readonly number[]): number {
  // A second pass takes off what the first sum lost, so that 10,000,000.2 keeps its digits.
  const first = values.reduce((sum, value) => sum + value, 0) / values.length;
  return first + values.reduce((sum, value) => sum + (value - first), 0) / values.length;
}

/** Standard deviation with n - 1. */
export function deviation(values: readonly number[]): number {
  const centre = mean(values);
  const square = values.reduce((sum, value) => sum + (value - centre) ** 2, 0);
  return Math.sqrt(square / (values.length - 1));
}

/** Autocorrelation of neighbours. */
export function lagOne(values: readonly number[]): number {
  const centre = mean(values);
  let over = 0;
  let under = 0;
  values.forEach((value, i) => {
    under += (value - centre) ** 2;
    if (i > 0) over += (value - centre) * ((values[i - 1] ?? 0) - centre);
  });
  return over / under;
}

/** Quantile of a list, the value at rank n p rounded up (type 1). */
export function quantile(values: readonly number[], p: number): number {
  const sorted = [...values].sort((a, b) => a - b);
  return sorted[Math.max(0, Math.ceil(p * sorted.length) - 1)] ?? NaN;
}

/**
 * Interval of a share, 95 %, after Wilson (1927).
 * @param k of n.
 */
export function shareInterval(k: number, n: number): [number, number] {
  const z = 1.959963984540054;
  const centre = (k + (z * z) / 2) / (n + z * z);
  const half = (z / (n + z * z)) * Math.sqrt((k * (n - k)) / n + (z * z) / 4);
  return [Math.max(0, centre - half), Math.min(1, centre + half)];
}

/** Upper 95 % bound of a share of which none in n was seen: 1 - 0.05^(1/n), about 3 / n. */
export function boundOfNone(n: number): number {
  return 1 - 0.05 ** (1 / n);
}
