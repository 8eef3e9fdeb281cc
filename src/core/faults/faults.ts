/** Keeps which faults are there: the conditions that modules report, latched as the table says. */
import type { Event } from '../trace.ts';
import { FAULTS, type FaultName } from './table.ts';

interface ActiveFault {
  fault: FaultName;
  sinceAt: number;
  /** The condition is there now; false while it only waits for a person to clear it. */
  present: boolean;
  detail: string;
}

export interface FaultsState {
  active: ActiveFault[];
}

export interface FaultsResult {
  /** In the order in which they came: the first is what happened first. */
  active: { fault: FaultName; since: number; present: boolean; detail: string }[];
  /** A trip is latched. */
  tripped: boolean;
  /** Some trip's cause is still there, so that it cannot be cleared. */
  causePresent: boolean;
}

/** One condition that a module reports while it lasts (or once, for a moment's event). */
export interface Condition {
  fault: FaultName;
  detail?: string;
}

export function initial(): FaultsState {
  return { active: [] };
}

export function result(state: FaultsState): FaultsResult {
  const trips = state.active.filter((a) => FAULTS[a.fault].severity === 'trip');
  return {
    active: state.active.map((a) => ({
      fault: a.fault,
      since: a.sinceAt,
      present: a.present,
      detail: a.detail,
    })),
    tripped: trips.length > 0,
    causePresent: trips.some((a) => a.present),
  };
}

/**
 * Takes the conditions of this step. `latch` is false while stopped: nothing can move then, so a
 * fault only shows and goes with its cause. `clear` is a person's word, taken for causes gone.
 */
export function faults(
  state: FaultsState,
  t: number,
  conditions: Condition[],
  latch: boolean,
  clear: boolean,
): { state: FaultsState; result: FaultsResult; events: Event[] } {
  const events: Event[] = [];
  const active: ActiveFault[] = [];
  for (const before of state.active) {
    const present = conditions.some((c) => c.fault === before.fault);
    const latched = FAULTS[before.fault].clears === 'person' && latch && !clear;
    if (present || latched) active.push({ ...before, present });
    else events.push({ kind: 'fault', fault: before.fault, on: false });
  }
  for (const { fault, detail = '' } of conditions) {
    if (active.some((a) => a.fault === fault)) continue;
    active.push({ fault, sinceAt: t, present: true, detail });
    events.push(
      detail === ''
        ? { kind: 'fault', fault, on: true }
        : { kind: 'fault', fault, on: true, detail },
    );
  }
  const next = { active };
  return { state: next, result: result(next), events };
}
