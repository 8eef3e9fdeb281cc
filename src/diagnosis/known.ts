/** A known mass on the crate against the zero: muck under a bar lets part of the weight go past it. */
import { checkWeight } from '../core/weighing/check-weight.ts';
import type { Stretch, Weight } from './empty.ts';
import { finding, type Finding } from './finding.ts';
import { mean } from './statistics.ts';

/** A mass that stands still does so for so long, ms. */
const STANDS_MS = 1500;
/** Only a plateau this near, as a share, is taken for the mass. */
const NEAR = 0.2;

/**
 * Looks for the longest stretch in which something stands still that weighs about `knownKg`.
 * @param maxKg greatest load of the weigh head.
 */
export function judgeKnown(
  readings: readonly Weight[],
  empties: readonly Stretch[],
  scale: { divisionKg: number; maxKg: number },
  knownKg: number,
): Finding[] {
  const { divisionKg, maxKg } = scale;
  const best = plateaus(readings, 2 * divisionKg)
    .map((plateau) => {
      const zero = zeroBefore(empties, plateau[0]?.t ?? 0);
      return { plateau, kg: mean(plateau.map(({ kg }) => kg)) - zero };
    })
    .filter(({ kg }) => Math.abs(kg - knownKg) <= NEAR * knownKg)
    .reduce<{ plateau: Stretch; kg: number } | null>(
      (longest, one) =>
        longest !== null && longest.plateau.length >= one.plateau.length ? longest : one,
      null,
    );
  if (best === null) return [];
  const check = { massKg: knownKg, middleKg: best.kg, cornersKg: [], lastErrorKg: null };
  const { errorKg, limitKg } = checkWeight(maxKg, divisionKg, check);
  const limit = limitKg ?? 2 * divisionKg;
  if (Math.abs(errorKg) <= limit + 1e-9) return [];
  const said =
    `${best.kg.toFixed(2)} kg for a known ${knownKg} kg, ` +
    `${Math.abs(errorKg).toFixed(2)} kg off where ${limit.toFixed(2)} kg is allowed`;
  return [finding('known-mass-off', null, errorKg, 'kg', said)];
}

/** Runs of readings that stay within `bandKg`, at least as long as a mass that stands. */
function plateaus(readings: readonly Weight[], bandKg: number): Stretch[] {
  const list: Stretch[] = [];
  let run: Weight[] = [];
  let [low, high] = [0, 0];
  const end = (): void => {
    if ((run.at(-1)?.t ?? 0) - (run[0]?.t ?? 0) >= STANDS_MS) list.push(run);
  };
  for (const reading of readings) {
    const { kg } = reading;
    const [l, h] = run.length === 0 ? [kg, kg] : [Math.min(low, kg), Math.max(high, kg)];
    if (h - l > bandKg + 1e-9) {
      end();
      run = [reading];
      [low, high] = [kg, kg];
    } else {
      run.push(reading);
      [low, high] = [l, h];
    }
  }
  end();
  return list;
}

/** Mean of the last empty stretch before t; nought where there is none. */
function zeroBefore(empties: readonly Stretch[], t: number): number {
  const last = empties.findLast((stretch) => (stretch.at(-1)?.t ?? Infinity) < t);
  return last === undefined ? 0 : mean(last.map(({ kg }) => kg));
}
