/** What the line does not say outright, from what can stand on a weigh crate for sheep. */
import type { Unit, WeightField } from './number.ts';

/** A lamb at weaning to a heavy ewe. Less than tenfold apart, so that one point fits at most. */
const LIGHTEST_KG = 12;
const HEAVIEST_KG = 115;

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

/** Digits after the point with which some reading is the known weight; null where none is. */
function decimalsFor(weight: WeightField, unit: Unit, knownKg: number): number | null {
  const choices = weight.point === null ? [0, 1, 2, 3] : [weight.decimals];
  const near = Math.max(0.5, knownKg * 0.02);
  const fits = choices.filter((decimals) =>
    weight.rows.some(
      ({ digits }) => Math.abs((digits * KG[unit]) / Number(`1e${decimals}`) - knownKg) <= near,
    ),
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
    const doubt = `${knownKg} kg was to lie on the platform, and no such reading came: put it on and listen again`;
    const evidence = `point: ${given} digits after it, as the ${knownKg} kg that were put on show`;
    return { decimals: given, evidence, doubts: decimals === null ? [doubt] : [] };
  }
  if (weight.point !== null) {
    const evidence = 'decimals: as written';
    return { decimals: weight.decimals, evidence, doubts: [] };
  }
  return byLoad(weight, unit, step);
}

/** Where a point that is not written must stand for the heaviest load to be a sheep. */
function byLoad(weight: WeightField, unit: Unit, step: number): ResolvedPoint {
  const loads = weight.rows.map(({ digits }) => digits).sort((a, b) => a - b);
  const heavy = loads[Math.floor(loads.length * 0.93)] ?? 0;
  const written = weight.padding === 'noughts' ? null : weight.fewest - 1;
  const fits = [0, 1, 2, 3].filter((decimals) => {
    const kg = (heavy * KG[unit]) / Number(`1e${decimals}`);
    return kg >= LIGHTEST_KG && kg <= HEAVIEST_KG;
  });
  const [only] = fits;
  if (heavy > 5 * step && only !== undefined && fits.length === 1) {
    const agrees = written === null || written === 0 || written === only;
    const evidence = `point: none is written; with ${only} digits after it the load of ${heavy} is a sheep's weight`;
    const doubt = 'the digits written at zero point elsewhere: put a known weight on (--known)';
    return { decimals: only, evidence, doubts: agrees ? [] : [doubt] };
  }
  if (written !== null && written > 0) {
    const evidence = `point: none is written; zero has ${weight.fewest} digits, of which ${written} must stand after it`;
    return { decimals: written, evidence, doubts: [] };
  }
  const doubt =
    'nothing tells where the point stands: put a known weight on and give it (--known 20)';
  return { decimals: 0, evidence: 'point: none is written', doubts: [doubt] };
}
