/** The battery at rest and while a leaf moves. */
import { finding, type Finding } from './finding.ts';
import { stretchesOn, type Seen } from './seen.ts';
import { median } from './statistics.ts';

export interface Battery {
  /** Middle voltage with nothing moving, and while a leaf moves (null: never read then). */
  restVolts: number;
  loadVolts: number | null;
  /** Low enough to make a leaf slow. */
  low: boolean;
}

/** A battery recovers from a stroke within this, near enough, ms. */
const RECOVERED_MS = 1000;
/** So near to the limit it is nearly empty, V. */
const NEAR_VOLTS = 0.3;
/** A sag beyond this is too much, V (common practice, no source: a tenth of 12 V). */
const SAG_VOLTS = 1.2;
/** Above this no 12 V lead-acid battery rests (three published tables end at 12.6 to 12.7 V). */
const CHARGING_VOLTS = 13.2;

/** What the trace tells of the battery, or null where it has no voltage. */
export function batteryOf(seen: Seen): Battery | null {
  const strokes = Object.entries(seen.outputs)
    .filter(([name]) => /[.](extend|retract)$/.test(name))
    .flatMap(([, levels]) => stretchesOn(levels, seen.endT));
  const rest: number[] = [];
  const load: number[] = [];
  for (const { t, volts } of seen.volts) {
    if (strokes.some(({ from, to }) => t > from && t <= to)) load.push(volts);
    else if (!strokes.some(({ from, to }) => t >= from && t < to + RECOVERED_MS)) rest.push(volts);
  }
  if (rest.length === 0) return null;
  const restVolts = median(rest);
  const loadVolts = load.length === 0 ? null : median(load);
  const limit = seen.config?.battery?.lowVolts ?? 11.8;
  const low = restVolts <= limit + NEAR_VOLTS || (loadVolts ?? Infinity) <= limit - SAG_VOLTS / 2;
  return { restVolts, loadVolts, low };
}

export function judgeBattery(seen: Seen, battery: Battery | null): Finding[] {
  if (battery === null) return [];
  const found: Finding[] = [];
  const { restVolts, loadVolts } = battery;
  const limit = seen.config?.battery?.lowVolts ?? 11.8;
  if (restVolts <= limit + NEAR_VOLTS) {
    const said = `${restVolts.toFixed(2)} V at rest, ${limit} V is the limit`;
    found.push(finding('battery-empty', null, restVolts, 'V', said));
  }
  if (loadVolts !== null && restVolts - loadVolts > SAG_VOLTS) {
    const said = `from ${restVolts.toFixed(2)} V at rest to ${loadVolts.toFixed(2)} V moving`;
    found.push(finding('battery-sags', null, restVolts - loadVolts, 'V', said));
  }
  if (restVolts > CHARGING_VOLTS) {
    const said = `${restVolts.toFixed(2)} V with nothing moving`;
    found.push(finding('battery-charging', null, restVolts, 'V', said));
  }
  return found;
}
