import type { Exit } from '../trace.ts';
import type { AnimalFacts, Lot, Plan } from './plan.ts';

/** Lots that stand at an exit. */
export function lotsAt(plan: Plan, exit: Exit): Lot[] {
  return plan.lots.filter((lot) => lot.exit === exit);
}

/** Whether an animal sent to this exit may end up in a lot for slaughter. */
export function leadsToSlaughter(plan: Plan, exit: Exit): boolean {
  return plan.lots.some((lot) => lot.exit === exit && lot.forSlaughter === true);
}

/** What is asked of an animal about its treatments. */
type Treated = Pick<AnimalFacts, 'known' | 'marks'>;

/** Still in withdrawal or possibly so, with the first free day where it is known. */
export interface Held {
  why: string;
  freeOn: string | null;
}

/**
 * Whether the animal is still in withdrawal, or possibly so, on the day of the kill. Unclear is held;
 * with a treatment of the mob open, an animal with no tag counts as treated; a colour given by the
 * operator can only add to it. No mark and no hand lifts it.
 */
export function heldBy(plan: Plan, animal: Treated): Held | null {
  const known = animal.known;
  if (known !== null && known.held === true)
    return { why: 'still in withdrawal', freeOn: known.freeOn ?? null };
  if (known !== null && known.held !== false)
    return { why: 'withdrawal is unclear', freeOn: known.freeOn ?? null };
  const medicine = plan.medicine;
  if (medicine === undefined) return null;
  const colour = medicine.colours.find((one) =>
    animal.marks.some((mark) => mark.name === 'colour' && mark.value === one.colour),
  );
  if (colour !== undefined)
    return { why: `marked ${colour.colour}, still in withdrawal`, freeOn: colour.freeOn };
  if (known === null && medicine.untaggedHeld)
    return { why: 'no tag facts and a treatment of this mob is open', freeOn: medicine.freeOn };
  return null;
}

/** The hold in words: `still in withdrawal, free on 2026-09-20`. */
export function heldWords(held: Held): string {
  return held.freeOn === null
    ? `${held.why}, free day not known`
    : `${held.why}, free on ${held.freeOn}`;
}

/** What stays on a row of an animal that is held, whatever rule sent it: `free-on-2026-09-20`. */
export function heldFlags(plan: Plan, animal: Treated): string[] {
  const held = heldBy(plan, animal);
  if (held === null) return [];
  return ['in-withdrawal', ...(held.freeOn === null ? [] : [`free-on-${held.freeOn}`])];
}

/**
 * Why an exit that the operator names must be refused for this animal, in words, or null where it may
 * be taken. Only a correction to the medicine record lifts a refusal for withdrawal.
 */
export function refusal(plan: Plan, animal: Treated, exit: Exit): string | null {
  if (plan.work === 'weigh-only' || plan.work === 'count-only')
    return 'No leaf moves in this kind of work: pick a plan that sorts.';
  const held = heldBy(plan, animal);
  if (held === null || !leadsToSlaughter(plan, exit)) return null;
  const lots = lotsAt(plan, exit).filter((lot) => lot.forSlaughter === true);
  const names = lots.map((lot) => lot.name).join(', ');
  return `Not to ${names} (for slaughter): ${heldWords(held)}. Name another exit; only a correction to the medicine record lifts this.`;
}
