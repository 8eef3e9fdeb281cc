import type { Counts, Decision, Lot, Plan } from './plan.ts';

/** The warning begins when this many places are left. */
export const WARN_PLACES = 5;

/** Places left in a lot, or null where it has no capacity. */
export function placesLeft(lot: Lot, counts: Counts): number | null {
  if (lot.capacity === undefined) return null;
  return Math.max(0, lot.capacity - headIn(counts, lot.name));
}

/** Head in a lot so far; a name that objects have by nature counts as none. */
export function headIn(counts: Counts, name: string): number {
  return Object.hasOwn(counts, name) ? (counts[name] ?? 0) : 0;
}

/**
 * Capacity, the last rule: a full lot stops (hold and ask) or passes the animal on to its overflow, and
 * that one to its own. An overflow that leads nowhere, round in a circle or where `allowed` forbids
 * holds the animal.
 */
export function withCapacity(
  plan: Plan,
  decision: Decision,
  counts: Counts,
  allowed: (lot: Lot) => boolean,
): Decision {
  let lot = plan.lots.find((one) => one.name === decision.lot);
  const full: string[] = [];
  while (lot !== undefined && placesLeft(lot, counts) === 0 && !full.includes(lot.name)) {
    full.push(lot.name);
    const way = lot.whenFull;
    const next = typeof way === 'object' ? way.overflow : null;
    lot = plan.lots.find((one) => one.name === next);
  }
  if (full.length === 0) return lot === undefined ? decision : nearlyFull(decision, lot, counts);
  const said = `${decision.reason}; ${full.map((name) => `${name} is full`).join(', ')}`;
  if (lot === undefined || full.includes(lot.name) || !allowed(lot))
    return {
      lot: decision.lot,
      exit: null,
      rule: 'overflow',
      reason: `${said}: hold and ask`,
      flags: [...decision.flags, 'lot-full'],
    };
  const passed: Decision = {
    lot: lot.name,
    exit: lot.exit,
    rule: 'overflow',
    reason: `${said}: overflow to ${lot.name}`,
    flags: decision.flags,
    ...(lot.mark === undefined ? {} : { mark: lot.mark }),
  };
  return nearlyFull(passed, lot, counts);
}

function nearlyFull(decision: Decision, lot: Lot, counts: Counts): Decision {
  const left = placesLeft(lot, counts);
  if (left === null || left > WARN_PLACES) return decision;
  return {
    ...decision,
    reason: `${decision.reason}; ${String(left)} ${left === 1 ? 'place' : 'places'} left in ${lot.name}`,
    flags: [...decision.flags, 'nearly-full'],
  };
}
