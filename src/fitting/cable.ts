/** Voltage lost in the cable to an actuator, and the fuse that protects the cable. */

/**
 * Greatest resistance at 20 °C of flexible (class 5) plain copper conductors, ohm per km, by cross
 * section in mm². Source: IEC 60228:2004, from four agreeing tables.
 */
export const OHM_PER_KM: Readonly<Record<string, number>> = {
  '0.5': 39,
  '0.75': 26,
  '1': 19.5,
  '1.5': 13.3,
  '2.5': 7.98,
  '4': 4.95,
  '6': 3.3,
  '10': 1.91,
  '16': 1.21,
};

/** Temperature coefficient of copper's resistance at 20 °C, per kelvin (from memory). */
const PER_KELVIN = 0.00393;

/**
 * Current that a thin PVC cable carries in free air at 30 °C, A, by mm²: the lower ends of rough ranges
 * (from memory). Less in bundles; local code decides.
 */
const CARRIES_AMPS: Readonly<Record<string, number>> = {
  '0.75': 6,
  '1': 10,
  '1.5': 15,
  '2.5': 20,
  '4': 30,
  '6': 40,
};
/** PVC insulation bears this much, °C (from memory). */
const PVC_CELSIUS = 70;
const RATED_CELSIUS = 30;

/** Ratings of blade fuses, A (ISO 8820-3, from memory). */
const BLADES = [1, 2, 3, 4, 5, 7.5, 10, 15, 20, 25, 30, 40];
/** A fuse carries its load for long only below this share of its rating (common practice, no source). */
const FUSE_SHARE = 0.8;

export interface Cable {
  amps: number;
  /** One way; the current runs there and back. */
  metres: number;
  /** Cross section, one of the standard sizes. */
  mm2: number;
  celsius: number;
  /** Voltage at the battery, V. */
  volts: number;
}

export interface Loss {
  dropVolts: number;
  /** Of the voltage at the battery. */
  dropPercent: number;
  voltsAtLoad: number;
}

/**
 * Loss in a two-way run: 2 · length · resistance a metre · current, with the resistance at the
 * conductor's temperature. Null for a size that is not a standard one.
 */
export function cableLoss(cable: Cable): Loss | null {
  const ohm = OHM_PER_KM[String(cable.mm2)];
  if (ohm === undefined) return null;
  const perMetre = (ohm / 1000) * (1 + PER_KELVIN * (cable.celsius - 20));
  const drop = 2 * cable.metres * perMetre * cable.amps;
  const round = (value: number): number => Math.round(value * 1000) / 1000;
  return {
    dropVolts: round(drop),
    dropPercent: round((100 * drop) / cable.volts),
    voltsAtLoad: round(cable.volts - drop),
  };
}

const SIZES = Object.keys(OHM_PER_KM)
  .map(Number)
  .sort((a, b) => a - b);

/** The smallest standard size that loses no more than `percent`, mm², or null where none does. */
export function smallestSize(cable: Omit<Cable, 'mm2'>, percent: number): number | null {
  const fits = (mm2: number): boolean => {
    const loss = cableLoss({ ...cable, mm2 });
    return loss !== null && loss.dropPercent <= percent;
  };
  return SIZES.find(fits) ?? null;
}

/**
 * Current that a cable of this size carries at this temperature round it, A: the rough figure for
 * 30 °C, times the root of the warming that is left (from memory). Null for a size without a figure.
 */
export function carriedAmps(mm2: number, celsius: number): number | null {
  const rated = CARRIES_AMPS[String(mm2)];
  if (rated === undefined) return null;
  const left = Math.max(0, PVC_CELSIUS - celsius) / (PVC_CELSIUS - RATED_CELSIUS);
  return rated * Math.min(1, Math.sqrt(left));
}

/**
 * The smallest blade fuse that carries `amps` for long and still protects a cable of this size: rated
 * above the load, at or below what the cable carries. Null where no fuse does both.
 */
export function fuseFor(amps: number, mm2: number, celsius: number): number | null {
  const carried = carriedAmps(mm2, celsius);
  const fuse = BLADES.find((rating) => rating * FUSE_SHARE >= amps);
  if (carried === null || fuse === undefined || fuse > carried) return null;
  return fuse;
}

/** The smallest size that loses no more than `percent` and can be fused; null where none does. */
export function fusedSize(cable: Omit<Cable, 'mm2'>, percent: number): number | null {
  const { amps, celsius } = cable;
  const least = smallestSize(cable, percent);
  if (least === null) return null;
  return SIZES.find((mm2) => mm2 >= least && fuseFor(amps, mm2, celsius) !== null) ?? null;
}
