import { studentInverse } from '../normal.ts';
import { blockSecondsOf } from './load.ts';
import type { Load } from './load.ts';
import type { Estimate, WeighingConfig } from './result.ts';
import { withinBand } from './window.ts';

/** The estimate that the others see. */
export function estimateOf(config: WeighingConfig, load: Load): Estimate | null {
  const { level } = load;
  if (level === null) return null;
  const { found } = level;
  const seconds = blockSecondsOf(config);
  const d = config.divisionKg;
  const rounding = (2 * d * d) / 12;
  const scale = Math.sqrt(found.scaleKg * found.scaleKg + rounding);
  const { settle } = config;
  const blocks = settle === null ? 0 : Math.ceil(settle.forMs / 1000 / seconds) + 1;
  return {
    kg: found.kg,
    u95Kg: studentInverse(0.975, found.degrees) * scale,
    uKg: (studentInverse(0.995, found.degrees) / 2.5758) * scale,
    settled:
      settle !== null && load.partial <= 0.1 && withinBand(load.window, blocks, settle.withinKg),
    spanMs: Math.round(level.span * seconds * 1000),
    partial: load.partial,
  };
}
