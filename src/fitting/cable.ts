/** Voltage lost in the cable to an actuator. */

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

/** The smallest standard size that loses no more than `percent`, mm², or null where none does. */
export function smallestSize(cable: Omit<Cable, 'mm2'>, percent: number): number | null {
  const sizes = Object.keys(OHM_PER_KM)
    .map(Number)
    .sort((a, b) => a - b);
  const fits = (mm2: number): boolean => {
    const loss = cableLoss({ ...cable, mm2 });
    return loss !== null && loss.dropPercent <= percent;
  };
  return sizes.find(fits) ?? null;
}
