/**
 * The battery at rest and under load: what it shows while a leaf moves says something of its cable, and
 * what it shows once it has recovered says how full it is. Low is missing, stale, or under its limit.
 */
import type { InterlockConfig, InterlockState, SupplyState } from './state.ts';

/** After a stroke a lead-acid battery needs so long to show its voltage at rest, near enough, ms. */
const RECOVERS_MS = 1000;
/** The day book hears of it this often, ms. */
const TOLD_MS = 600_000;

/** The supply with one more reading, told apart by what moves and what has just moved. */
export function withVolts(s: InterlockState, t: number, volts: number): SupplyState {
  const leaves = Object.values(s.leaves);
  const moving = leaves.some(({ stroke }) => stroke !== null);
  const lately = leaves.some(({ extendOffAt, retractOffAt }) =>
    [extendOffAt, retractOffAt].some((at) => at !== null && t - at < RECOVERS_MS),
  );
  const supply = { ...s.supply, volts, voltsAt: t };
  if (moving) return { ...supply, movingVolts: volts };
  return lately ? supply : { ...supply, restVolts: volts };
}

/** No reading, none fresh, or one under its limit: no new automatic stroke. */
export function batteryBad(config: InterlockConfig, state: InterlockState, t: number): boolean {
  const { battery } = config;
  if (battery === null) return false;
  const { voltsAt } = state.supply;
  if (voltsAt === null || !state.supply.battery) return true;
  return t - voltsAt > battery.staleMs || batteryLow(battery, state.supply);
}

/** Under its limit: at rest, or under that for a moving leaf, which is kept until the next start. */
export function batteryLow(
  battery: NonNullable<InterlockConfig['battery']>,
  { volts, restVolts, movingVolts }: SupplyState,
): boolean {
  const { lowVolts, loadVolts = lowVolts } = battery;
  if ((restVolts ?? volts ?? 0) < lowVolts || (volts ?? 0) < loadVolts) return true;
  return battery.loadVolts !== undefined && movingVolts !== null && movingVolts < loadVolts;
}

/** Still good, but not for long. */
export function batteryWeak({ battery }: InterlockConfig, { supply }: InterlockState): boolean {
  if (battery?.warnVolts === undefined || supply.restVolts === null) return false;
  return supply.restVolts < battery.warnVolts;
}

/** A reading has just come, and it is time for the day book to hear of the voltage at rest. */
export function batteryDue({ supply }: InterlockState, t: number): boolean {
  const { voltsAt, toldAt } = supply;
  if (voltsAt !== t) return false;
  return toldAt === null || t - toldAt >= TOLD_MS;
}
