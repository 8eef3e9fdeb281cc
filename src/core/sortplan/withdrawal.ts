import { dayText } from './days.ts';
import type { MobMedicine } from './plan.ts';

/**
 * How the product was used: by its label; off label, but authorised for some food animal; or not
 * authorised for food animals at all.
 */
export type Use = 'label' | 'off-label' | 'not-for-food';

/** A treatment as the medicine record keeps it. Label, vet and local law decide the period. */
export interface Treatment {
  product: string;
  batch: string;
  /** Day of the last dose (see `dayNumber`). */
  givenDay: number;
  /** Withdrawal period for meat in whole days, as the label or the vet says; null where unclear. */
  days: number | null;
  use: Use;
  /** The tags that it was given to; empty where it was given to a mob or a colour mark. */
  tags: string[];
  /** The mob that it was given to, or that the tags or the colour mark belong to; null: not said. */
  mob: string | null;
  /** The colour mark that it was given to, or null. */
  colour: string | null;
}

/** Settings for use off the label; each site names the source that it follows. */
export interface OffLabel {
  /** The label's longest period for meat is multiplied by this and rounded up. */
  factor: number;
  /** Least period of an off-label use, days. */
  leastDays: number;
  /** Least period of a product not authorised for food animals, days. */
  notForFoodDays: number;
  source: string;
}

/**
 * Factor 1.5 and 28 days: Great Britain, VMR 2013/2033 Sch 4 para 2 as amended (by an industry guide to
 * the rules). Rounding up and one day where the label says none: EU 2019/6 Art 115 (from memory).
 */
export const OFF_LABEL: OffLabel = {
  factor: 1.5,
  leastDays: 1,
  notForFoodDays: 28,
  source: 'VMR 2013/2033 Sch 4 para 2; EU 2019/6 Art 115 (from memory)',
};

/** The period that counts, whole days; null where it is unclear. */
export function periodDays(days: number | null, use: Use, offLabel: OffLabel): number | null {
  if (days === null || !(days >= 0)) return null;
  const whole = Math.ceil(days);
  if (use === 'label') return whole;
  // Thousandths, so that no product of binary fractions is rounded up to a day too many.
  const longer = Math.ceil((whole * Math.round(offLabel.factor * 1000)) / 1000);
  const least = use === 'off-label' ? offLabel.leastDays : offLabel.notForFoodDays;
  return Math.max(whole, longer, least);
}

/**
 * First day on which the animal is free: the day after the period, counted in whole days from the last
 * dose (a 6-day period: the 7th day; Finnish Medicines Agency). A period of no days holds nothing.
 */
export function freeDay(givenDay: number, period: number): number {
  return period === 0 ? givenDay : givenDay + period + 1;
}

/** Who is asked about. */
export interface Who {
  tag: string | null;
  /** The session's mob, and any other that the animal is known from; empty: not known. */
  mobs: string[];
}

/** The answer of the medicine record; `held` null is unclear, which counts as held. */
export interface Standing {
  held: boolean | null;
  /** First free day, null where free already or not known. */
  freeDay: number | null;
}

type Given = 'yes' | 'perhaps' | 'no';

/** Whether the treatment was given to this animal. */
function givenTo(treatment: Treatment, who: Who): Given {
  const { tags, mob, colour } = treatment;
  const ofMob =
    mob === null || who.mobs.length === 0 ? 'perhaps' : who.mobs.includes(mob) ? 'yes' : 'no';
  if (tags.length > 0) {
    if (who.tag !== null) return tags.includes(who.tag) ? 'yes' : 'no';
    return ofMob;
  }
  // Nobody can tell by the record which animals wear the colour: each of the mob may.
  if (colour !== null) return ofMob === 'no' ? 'no' : who.tag === null ? ofMob : 'perhaps';
  return ofMob;
}

/**
 * Whether an animal is still in withdrawal on the day of the kill. Without a tag it counts as treated
 * while any treatment of its mob is open. Unclear, and so held: a period that is not known, a dose
 * after the kill, a colour or a mob that cannot be told, a day that is not known (`killDay` null).
 */
export function standing(
  treatments: readonly Treatment[],
  who: Who,
  killDay: number | null,
  offLabel: OffLabel,
): Standing {
  const open: { held: true | null; first: number | null }[] = [];
  for (const treatment of treatments) {
    const given = givenTo(treatment, who);
    if (given === 'no') continue;
    const period = periodDays(treatment.days, treatment.use, offLabel);
    const first = period === null ? null : freeDay(treatment.givenDay, period);
    const clear = first !== null && killDay !== null && treatment.givenDay <= killDay;
    if (clear && first <= killDay) continue;
    open.push({ held: clear && given === 'yes' ? true : null, first });
  }
  if (open.length === 0) return { held: false, freeDay: null };
  const days = open.map((one) => one.first).filter((day) => day !== null);
  return {
    held: open.some((one) => one.held === true) ? true : null,
    freeDay: days.length === open.length ? Math.max(...days) : null,
  };
}

/** What the record says of a session's mob on the day of the kill, for the resolved plan. */
export function mobMedicine(
  treatments: readonly Treatment[],
  mobs: string[],
  killDay: number | null,
  offLabel: OffLabel,
): MobMedicine {
  const untagged = standing(treatments, { tag: null, mobs }, killDay, offLabel);
  const colours = [...new Set(treatments.map((one) => one.colour))].filter((one) => one !== null);
  const open = colours.map((colour) => {
    const given = treatments
      .filter((one) => one.colour === colour && one.tags.length === 0)
      .map((one) => ({ ...one, colour: null, mob: null }));
    const found = standing(given, { tag: null, mobs: [] }, killDay, offLabel);
    return { colour, ...found };
  });
  return {
    untaggedHeld: untagged.held !== false,
    freeOn: freeText(untagged.freeDay),
    colours: open
      .filter((one) => one.held !== false)
      .map((one) => ({ colour: one.colour, freeOn: freeText(one.freeDay) })),
  };
}

/** The free day for people and for `known.freeOn`, or null. */
export function freeText(day: number | null): string | null {
  return day === null ? null : dayText(day);
}
