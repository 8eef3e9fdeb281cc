import { exp } from '../normal.ts';

/**
 * Variance that rounding leaves in a mean, kg squared: all of d^2 / 12 where the readings stand
 * still, next to nothing where they move by a division (the bias of a rounded normal variable has
 * the amplitude d / pi times exp(-2 pi^2 (s / d)^2); B. Widrow's quantising theorem).
 */
export function roundingVariance(divisionKg: number, scatterKg: number): number {
  const ratio = scatterKg / divisionKg;
  return ((divisionKg * divisionKg) / 12) * exp(-39.48 * ratio * ratio);
}
