/** A 12 V lead-acid battery: how full it is by its voltage at rest, and how long it lasts. */

/** Full, three quarters, half, a quarter, empty. */
const SHARES = [100, 75, 50, 25, 0];
/**
 * Voltage at rest for each of those, V: two published tables that differ by up to 0.2 V; a third has
 * 12.66 and 12.45 V for the first two. They hold after 6 to 24 h of rest.
 */
const TABLES = [
  [12.6, 12.4, 12.2, 12.0, 11.6],
  [12.7, 12.45, 12.2, 11.95, 11.8],
] as const;
/** A voltage that a one-per-cent meter shows may be off by so much, V. */
export const METER_VOLTS = 0.12;

export interface Charge {
  /** Per cent of a full charge: the middle of what the tables say. */
  percent: number;
  /** What it may be, with the meter's error and the tables' spread. */
  from: number;
  to: number;
}

/**
 * State of charge from a voltage at rest. A tenth of the charge is about 0.1 V, which is less than what
 * a usual meter errs by: take the range, not the middle.
 * @param restVolts V, after hours without load or charge.
 * @param meterVolts what the meter may be off by, V.
 */
export function chargeOf(restVolts: number, meterVolts = METER_VOLTS): Charge {
  const at = (volts: number): number[] => TABLES.map((table) => shareAt(table, volts));
  const middle = at(restVolts);
  return {
    percent: Math.round(middle.reduce((a, b) => a + b, 0) / middle.length),
    from: Math.round(Math.min(...at(restVolts - meterVolts))),
    to: Math.round(Math.max(...at(restVolts + meterVolts))),
  };
}

function shareAt(table: readonly number[], volts: number): number {
  const above = table.findIndex((limit) => volts >= limit);
  if (above === 0) return 100;
  const [high, low] = [table[above - 1], table[above]];
  if (above < 0 || high === undefined || low === undefined) return 0;
  const share = (volts - low) / (high - low);
  return (SHARES[above] ?? 0) + 25 * share;
}

export interface Use {
  /** Capacity as marked, Ah (at the twenty-hour rate). */
  ampHours: number;
  /** What runs all the time: the Pi, weigh head, lamps, A. */
  idleAmps: number;
  strokesAnHour: number;
  strokeSeconds: number;
  strokeAmps: number;
}

/** Never below half, for a battery that is to live long (common practice, no source). */
export const CUT_OFF_PERCENT = 50;

/**
 * Hours until the charge has fallen from `percent` to the cut-off, at the mean current. The capacity is
 * taken as marked: an old or a cold battery has much less (from memory: three quarters at 0 °C).
 */
export function hoursLeft(use: Use, percent: number, cutOff = CUT_OFF_PERCENT): number {
  const strokes = (use.strokesAnHour * use.strokeSeconds * use.strokeAmps) / 3600;
  const usable = (use.ampHours * Math.max(0, percent - cutOff)) / 100;
  return usable / (use.idleAmps + strokes);
}
