/** What the installer asks of cable and battery at once: the loss, the size and fuse, the charge, the hours. */
import { chargeOf, hoursLeft, type Charge } from './battery.ts';
import { cableLoss, carriedAmps, fusedSize, fuseFor, type Loss } from './cable.ts';

export interface PowerAsked {
  /** Of the leaf under load, A. */
  amps: number;
  /** One way, m. */
  metres: number;
  /** Of the conductor, °C. */
  celsius: number;
  /** At the battery, V. */
  volts: number;
  /** Loss that is allowed, per cent. */
  allow: number;
  /** Cross section, mm²; the smallest that will do if not said. */
  mm2?: number | undefined;
  battery?:
    | {
        /** After hours of rest, V. */
        restVolts: number;
        /** As marked on it, Ah. */
        ampHours: number;
        /** What runs all the time, A. */
        idleAmps: number;
        strokesAnHour: number;
        strokeSeconds: number;
      }
    | undefined;
}

export interface Power {
  /** The smallest standard size that loses no more than is allowed and can be fused, mm²; null: none. */
  smallest: number | null;
  /** Of the size that was asked for, else of the smallest; null where there is none. */
  mm2: number | null;
  loss: Loss | null;
  /** What the cable carries, A, and the blade fuse that carries the load and protects it. */
  carries: number | null;
  fuse: number | null;
  charge: Charge | null;
  /** Until the battery is at its cut-off, h: in the middle, at least, at most. */
  hours: { about: number; least: number; most: number } | null;
}

/** The sums of `fank cable` in one answer; sources and limits as in `cable.ts` and `battery.ts`. */
export function powerOf(asked: PowerAsked): Power {
  const { amps, celsius, allow, battery } = asked;
  const smallest = fusedSize(asked, allow);
  const mm2 = asked.mm2 ?? smallest;
  const charge = battery === undefined ? null : chargeOf(battery.restVolts);
  const hours = (percent: number): number =>
    battery === undefined
      ? 0
      : Math.round(10 * hoursLeft({ ...battery, strokeAmps: amps }, percent)) / 10;
  return {
    smallest,
    mm2,
    loss: mm2 === null ? null : cableLoss({ ...asked, mm2 }),
    carries: mm2 === null ? null : carriedAmps(mm2, celsius),
    fuse: mm2 === null ? null : fuseFor(amps, mm2, celsius),
    charge,
    hours:
      charge === null
        ? null
        : { about: hours(charge.percent), least: hours(charge.from), most: hours(charge.to) },
  };
}
