/** What the line does not say outright, from what can stand on a weigh crate for sheep. */
import type { Unit, WeightField } from './number.ts';
import { mostCommon } from './split.ts';

/** A lamb at weaning to a heavy ewe. Less than tenfold apart, so that one point fits at most. */
export const LIGHTEST_KG = 12;
const HEAVIEST_KG = 115;
/** The last digit of a head on load bars stands for no less than 0.01 lb (common practice, no source). */
const FINEST_KG = 0.0045;

export const KG: Record<Unit, number> = { kg: 1, lb: 0.45359237, g: 0.001, t: 1000 };

export interface ResolvedUnit {
  unit: Unit;
  evidence: string;
  doubts: string[];
}

export function resolveUnit(weight: WeightField, knownKg: number | null): ResolvedUnit {
  const { unit, unitText } = weight;
  if (unit !== null) {
    const evidence = `unit: ${JSON.stringify(unitText.trim() || unit)} stands beside the weight`;
    return { unit, evidence, doubts: [] };
  }
  if (knownKg !== null)
    for (const one of ['kg', 'lb'] as const)
      if (decimalsFor(weight, one, knownKg) !== null) {
        const evidence = `unit: none is sent; in ${one} the ${knownKg} kg that were put on are read as such`;
        return { unit: one, evidence, doubts: [] };
      }
  const evidence =
    'unit: none is sent; taken as kg, as usual where none is named: put a known weight on to confirm';
  return { unit: 'kg', evidence, doubts: [] };
}

/** Whether a reading may be the weight that is known to lie on the platform. */
export function near(kg: number, wanted: number): boolean {
  return Math.abs(kg - wanted) <= Math.max(0.5, wanted * 0.02);
}

export function missing(knownKg: number): string {
  return `${knownKg} kg was to lie on the platform, and no such reading came: put it on and listen again`;
}

/** Digits after the point with which some reading is the known weight; null where none is. */
function decimalsFor(weight: WeightField, unit: Unit, knownKg: number): number | null {
  const choices = weight.point === null ? [0, 1, 2, 3] : [weight.decimals];
  const fits = choices.filter((decimals) =>
    weight.rows.some(({ digits }) => near((digits * KG[unit]) / Number(`1e${decimals}`), knownKg)),
  );
  return fits[0] ?? null;
}

export interface ResolvedPoint {
  decimals: number;
  evidence: string;
  doubts: string[];
}

export function resolvePoint(
  weight: WeightField,
  unit: Unit,
  step: number,
  knownKg: number | null,
): ResolvedPoint {
  if (knownKg !== null) {
    const decimals = decimalsFor(weight, unit, knownKg);
    const given = weight.point === null ? (decimals ?? 0) : weight.decimals;
    const evidence = `point: ${given} digits after it, as the ${knownKg} kg that were put on show`;
    return { decimals: given, evidence, doubts: decimals === null ? [missing(knownKg)] : [] };
  }
  if (weight.point !== null) {
    const evidence = 'decimals: as written';
    return { decimals: weight.decimals, evidence, doubts: tooFine(weight, unit) };
  }
  return byLoad(weight, unit, step);
}

/** With nothing on, figures that follow the weight at once look like more digits of it. */
function tooFine({ decimals, rows }: WeightField, unit: Unit): string[] {
  const one = KG[unit] / Number(`1e${decimals}`);
  const light = rows.every(({ digits }) => Math.abs(digits) * one < LIGHTEST_KG);
  if (one >= FINEST_KG || !light) return [];
  return [
    'so many digits after the point may be no part of the weight all of them: put something on',
  ];
}

/** Where a point that is not written must stand for the heaviest load to be a sheep. */
function byLoad(weight: WeightField, unit: Unit, step: number): ResolvedPoint {
  const loads = weight.rows.map(({ digits }) => digits).sort((a, b) => a - b);
  const heavy = loads[Math.floor(loads.length * 0.93)] ?? 0;
  const written = writtenDecimals(weight.rows);
  const fits = [0, 1, 2, 3].filter((decimals) => {
    const kg = (heavy * KG[unit]) / Number(`1e${decimals}`);
    return kg >= LIGHTEST_KG && kg <= HEAVIEST_KG;
  });
  const [only] = fits;
  if (heavy > 5 * step && only !== undefined && fits.length === 1) {
    const agrees = written === null || written === only;
    const evidence = `point: none is written; with ${only} digits after it the load of ${heavy} is a sheep's weight`;
    const doubt = 'the digits written at zero point elsewhere: put a known weight on (--known)';
    return { decimals: only, evidence, doubts: agrees ? [] : [doubt] };
  }
  if (written !== null) {
    const evidence = `point: none is written; near zero ${written + 1} digits are, of which ${written} stand after it`;
    return { decimals: written, evidence, doubts: [] };
  }
  const doubt =
    'nothing tells where the point stands: put a known weight on and give it (--known 20)';
  return { decimals: 0, evidence: 'point: none is written', doubts: [doubt] };
}

/**
 * Digits after a point that is not written, by how many are written near zero: `00` is 0.0 without
 * its point, since a figure stands before the point and all after it (OIML R 76-1, 4.2.2.2, from
 * memory). Zero itself may be a lone nought by the same rule and then tells nothing. Null also
 * where nothing near zero came or noughts fill the field.
 */
function writtenDecimals(rows: WeightField['rows']): number | null {
  // Beside blanks a leading nought is written for the point's sake alone, whatever follows it.
  const light = rows.filter(
    ({ digits, text }) => Math.abs(digits) < 10 || (/ /.test(text) && /^[-+ ]*0/.test(text)),
  );
  const some = light.filter(({ digits }) => digits !== 0);
  const widths = (some.length > 0 ? some : light).map(
    ({ text }) => text.replace(/[^0-9]/g, '').length,
  );
  const width = mostCommon(widths);
  // A lone frame may be damaged.
  if (width === null || width.count < 2 || width.value > 4) return null;
  return width.value === 1 && some.length === 0 ? null : width.value - 1;
}

/**
 * The division in units of the last digit: 1, 2 or 5 times a power of ten (as OIML R 76-1 has it),
 * the largest of which nearly all weights are multiples; a damaged frame may be none.
 */
export function stepOf(digits: readonly number[]): number {
  const loads = digits.filter((value) => value !== 0);
  if (loads.length === 0) return 1;
  const multiples = (step: number): number =>
    loads.filter((value) => value % step === 0).length / loads.length;
  return [500, 200, 100, 50, 20, 10, 5, 2].find((step) => multiples(step) >= 0.96) ?? 1;
}

/** A comma may be the decimal point or stand between two fields. */
export function commaDoubt({ point, rows, unit }: WeightField): string[] {
  if (point !== ',' || unit !== null) return [];
  const behind = new Set(rows.map(({ text }) => text.split(',')[1]?.trim() ?? ''));
  const before = new Set(rows.map(({ text }) => text.split(',')[0]));
  // Of many weights the last digits are many, or noughts and fives where the division is a half.
  const few = behind.size < 4 && before.size > 7 && ![...behind].every((d) => /^[05]0*$/.test(d));
  if (behind.size > 1 && !few) return [];
  // Fields are divided by one sign throughout, so another one leaves the comma to the number.
  if (rows.every(({ left, right }) => /[;:|]/.test(left + right))) return [];
  return [
    'what follows the comma hardly changes, so it may be no part of the weight: put something on',
  ];
}
