/** What a list of weights comes to, kg. */
export interface WeightSummary {
  /** How many weights. */
  count: number;
  mean: number;
  /** Sample standard deviation (n - 1); null for fewer than two. */
  sd: number | null;
  least: number;
  most: number;
  total: number;
}

/**
 * Mean, spread and sum of weights in kg; null for none. Two passes, so that a small spread about
 * a large mean is not lost (NIST StRD, NumAcc4).
 */
export function summarise(weights: readonly number[]): WeightSummary | null {
  const count = weights.length;
  if (count === 0) return null;
  const total = weights.reduce((sum, kg) => sum + kg, 0);
  const rough = total / count;
  // What the rounded mean is off by, in the second pass.
  const mean = rough + weights.reduce((sum, kg) => sum + (kg - rough), 0) / count;
  const squares = weights.reduce((sum, kg) => sum + (kg - mean) * (kg - mean), 0);
  return {
    count,
    mean,
    sd: count < 2 ? null : Math.sqrt(squares / (count - 1)),
    least: weights.reduce((a, b) => Math.min(a, b)),
    most: weights.reduce((a, b) => Math.max(a, b)),
    total,
  };
}

/** Animals in one weight class: from `fromKg` up to, not including, `fromKg` + the class width. */
export interface WeightClass {
  fromKg: number;
  head: number;
}

/** Head in each class of `widthKg`, from the lightest to the heaviest, empty ones between included. */
export function histogram(weights: readonly number[], widthKg = 1): WeightClass[] {
  const all = summarise(weights);
  if (all === null) return [];
  const first = Math.floor(all.least / widthKg);
  const last = Math.floor(all.most / widthKg);
  const classes = Array.from({ length: last - first + 1 }, (_, i) => ({
    fromKg: (first + i) * widthKg,
    head: 0,
  }));
  for (const kg of weights) {
    const found = classes[Math.floor(kg / widthKg) - first];
    if (found !== undefined) found.head += 1;
  }
  return classes;
}
