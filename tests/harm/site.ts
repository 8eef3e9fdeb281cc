/** A shipped gate as the campaign fits it: all its contacts, a wired start, a lot for each exit. */
import { defaultConfig } from '../../src/config/defaults.ts';
import { resolveGate } from '../../src/config/gates.ts';
import { loadProfile } from '../../src/config/profiles.ts';
import type { Config } from '../../src/core/step.ts';
import type { Lot } from '../../src/core/sortplan/plan.ts';
import type { Beams } from '../../simulator/bodies.ts';

export interface HarmSite {
  config: Config;
  walkThrough: boolean;
  exitFor: (kg: number) => string;
}

/** Cuts of the lots, kg: animals weigh 41 on average with a spread of 6. */
const LEAST_CUT_KG = 35;
const LOT_KG = 4;

/** The gate's exits in the order of their lots, the first for the lightest. */
export function harmSite(name: string, beams: Beams): HarmSite {
  const loaded = loadProfile('gate', name, null);
  if (loaded?.ok !== true) throw new Error(`no shipped gate profile is called ${name}`);
  const gate = resolveGate(loaded.value);
  const exits = Object.keys(gate.exits);
  const own = name === 'three-way-switched' || name === 'five-way';
  const switches = gate.leaves
    .filter((leaf) => leaf.endSwitches)
    .flatMap((leaf) => [`${leaf.name}.extended`, `${leaf.name}.retracted`]);
  const inputs = ['frontShut', 'stopLoop', 'actuatorPower', 'startButton', ...switches];
  if (beams !== 'none') inputs.push('laneClear');
  if (beams !== 'none' && own) inputs.push(...exits.map((exit) => `laneClear.${exit}`));
  const base = defaultConfig({ scale: { divisionKg: 0.1, rateHz: 10 }, inputs });
  const lots: Lot[] = exits.map((exit, i) => {
    const lot = { name: `Lot ${i}`, exit };
    return i === exits.length - 1 ? lot : { ...lot, belowKg: LEAST_CUT_KG + LOT_KG * i };
  });
  return {
    config: { ...base, gate, plan: { ...base.plan, lots } },
    walkThrough: name === 'two-way' || name === 'four-way',
    exitFor: (kg) => lots.find((lot) => kg < (lot.belowKg ?? 1000))?.exit ?? '',
  };
}
