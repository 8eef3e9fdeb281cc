/** Small sums for diagnosis; each of an empty list is 0. */

export function sum(values: readonly number[]): number {
  return values.reduce((a, b) => a + b, 0);
}

export function mean(values: readonly number[]): number {
  return values.length === 0 ? 0 : sum(values) / values.length;
}

/** Middle value; of an even count the upper one. */
export function median(values: readonly number[]): number {
  return [...values].sort((a, b) => a - b)[Math.floor(values.length / 2)] ?? 0;
}

/** Scatter of single values: standard deviation with n - 1. */
export function scatter(values: readonly number[]): number {
  if (values.length < 2) return 0;
  const middle = mean(values);
  return Math.sqrt(sum(values.map((v) => (v - middle) * (v - middle))) / (values.length - 1));
}
