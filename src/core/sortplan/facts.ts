import { dayNumber } from './days.ts';
import type { Plan, TagFacts } from './plan.ts';
import { freeText, mobMedicine, standing } from './withdrawal.ts';
import type { OffLabel, Treatment } from './withdrawal.ts';

/** What the records know, for looking a tag up before the core is told of it. */
export interface FactBook {
  treatments: readonly Treatment[];
  offLabel: OffLabel;
  /** The session's mob, and any other that this tag is known from. */
  mobsOf: (tag: string) => string[];
  /** File name of the first of the plan's lists that the tag stands in, or null. */
  listOf: (tag: string) => string | null;
  lastWeight: (tag: string) => { kg: number; day: number } | null;
  /** Day of the kill (see `killDay`), null where the clock is not set. */
  killDay: number | null;
  today: number | null;
}

/**
 * The day that withdrawal is judged on: the earliest kill date of the plan's lots for slaughter, today
 * for a lot without one (a live sale counts as today). Null: not known, and every treatment holds.
 */
export function killDay(plan: Plan, today: number | null): number | null {
  const days = plan.lots
    .filter((lot) => lot.forSlaughter === true)
    .map((lot) => (lot.killOn === undefined ? today : dayNumber(lot.killOn)));
  const known = days.filter((day) => day !== null);
  if (known.length < days.length) return null;
  return known.length === 0 ? today : Math.min(...known);
}

/** The facts that go with a tag. Days since a weight that lies in the future are not known. */
export function tagFacts(tag: string, book: FactBook): TagFacts {
  const who = { tag, mobs: book.mobsOf(tag) };
  const { held, freeDay } = standing(book.treatments, who, book.killDay, book.offLabel);
  const last = book.lastWeight(tag);
  const days = last === null || book.today === null ? null : book.today - last.day;
  return {
    held,
    list: book.listOf(tag),
    lastKg: last?.kg ?? null,
    lastDays: days === null || days < 0 ? null : days,
    freeOn: freeText(freeDay),
  };
}

/**
 * The plan of a session: with what the medicine record says of its mob on the day of the kill.
 * @param mobs those that the plan and the session name; empty: not known
 */
export function sessionPlan(
  plan: Plan,
  treatments: readonly Treatment[],
  today: number | null,
  offLabel: OffLabel,
  mobs: string[],
): Plan {
  return { ...plan, medicine: mobMedicine(treatments, mobs, killDay(plan, today), offLabel) };
}
