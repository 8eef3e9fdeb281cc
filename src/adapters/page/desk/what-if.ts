import { decide } from '../../../core/sortplan/decide.ts';
import type { AnimalFacts, Plan } from '../../../core/sortplan/plan.ts';
import type { Mark } from '../../../core/trace.ts';
import type { Line } from '../../evening.ts';

/** What a plan does with the animals of a past session, by weight and marks alone. */
export interface WhatIf {
  animals: number;
  /** Head per lot, in the plan's order. */
  head: { lot: string; head: number }[];
  /** Held, or sent where doubt is sent. */
  others: number;
  /** Against the plan before; `from` and `to` null: no lot. */
  moves: { from: string | null; to: string | null; head: number }[];
}

/** Sure weights of animals that count. */
export function sureLines(lines: readonly Line[]): Line[] {
  return lines.filter((line) => line.kg !== null && !line.unsure && line.notCounted === null);
}

/** Tags and treatments are left out: the day book does not say what was known of them. */
export function whatIf(before: Plan | null, after: Plan, lines: readonly Line[]): WhatIf {
  const animals = sureLines(lines);
  const now = lotsOf(after, animals);
  const was = before === null ? now : lotsOf(before, animals);
  const moves = new Map<string, WhatIf['moves'][number]>();
  for (const [at, to] of now.entries()) {
    const from = was[at] ?? null;
    if (from === to) continue;
    const key = JSON.stringify([from, to]);
    const move = moves.get(key) ?? { from, to, head: 0 };
    moves.set(key, { ...move, head: move.head + 1 });
  }
  return {
    animals: animals.length,
    head: after.lots.map(({ name }) => ({
      lot: name,
      head: now.filter((lot) => lot === name).length,
    })),
    others: now.filter((lot) => lot === null).length,
    moves: [...moves.values()].sort((a, b) => b.head - a.head),
  };
}

function lotsOf(plan: Plan, lines: readonly Line[]): (string | null)[] {
  const bare = { ...plan };
  delete bare.tags;
  delete bare.medicine;
  const counts: Record<string, number> = {};
  return lines.map((line) => {
    const lot = decide(bare, factsOf(line), counts)?.lot ?? null;
    if (lot !== null) counts[lot] = (counts[lot] ?? 0) + 1;
    return lot;
  });
}

function factsOf({ kg, uncertaintyKg, marks }: Line): AnimalFacts {
  return {
    ...{ kg, uKg: uncertaintyKg === null ? null : uncertaintyKg / 1.96, basis: 'settled' },
    ...{ unsure: null, tag: null, known: null, byHand: null, marks: marks.map(markOf) },
    ...{ afterMs: 0, previousLot: null, tagsOff: true },
  };
}

/** A mark as the day book says it: `condition: 3.5`. */
function markOf(text: string): Mark {
  const cut = text.indexOf(': ');
  const [name, value] = [text.slice(0, cut), text.slice(cut + 2)];
  if (value === 'true') return { name, value: true };
  return { name, value: Number.isNaN(Number(value)) ? value : Number(value) };
}
