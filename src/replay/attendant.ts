/**
 * The person whose commands a trace without any lacks: starts at the first record, clears and starts
 * again a second after a cause has gone, and confirms by eye where a crossing needs it. It stands
 * outside the core, which knows no automatic start.
 */
import type { State } from '../core/step.ts';
import type { Command } from '../core/trace.ts';

const PATIENCE_MS = 1000;
/** A lane that no beam has shown to be clear by then is looked at. */
const LANE_PATIENCE_MS = 3000;

/** Gives the commands for each tick, in the order in which they are to be given. */
export function createAttendant(firstT: number): (state: State, t: number) => Command[] {
  let started = false;
  let quietSince: number | null = null;
  let unseenSince: number | null = null;
  return (state, t) => {
    if (!started) {
      if (t < firstT) return [];
      started = true;
      return [{ do: 'start' }, { do: 'confirm' }];
    }
    const { mode } = state.cycle;
    if (mode === 'fault' || mode === 'stopped') {
      quietSince = causeGone(state) ? (quietSince ?? t) : null;
      if (quietSince === null || t - quietSince < PATIENCE_MS) return [];
      quietSince = null;
      const clear: Command[] = mode === 'fault' ? [{ do: 'clear' }] : [];
      return [...clear, { do: 'start' }, { do: 'confirm' }];
    }
    quietSince = null;
    const patience = patienceMs(state);
    unseenSince = patience !== null && laneLooksClear(state) ? (unseenSince ?? t) : null;
    if (unseenSince === null || t - unseenSince < (patience ?? 0)) return [];
    unseenSince = null;
    return [{ do: 'confirm' }];
  };
}

function causeGone(state: State): boolean {
  return !state.faults.active.some((fault) => fault.present) && laneLooksClear(state);
}

/** How long somebody waits before looking for the gate, ms; null where it needs no eyes. */
function patienceMs(state: State): number | null {
  const overdue = state.faults.active.some((fault) => fault.fault === 'position-unproved');
  if (state.gate.laneNeedsConfirm || overdue) return PATIENCE_MS;
  return state.gate.waits.includes('lane') ? LANE_PATIENCE_MS : null;
}

/** What a person would see: front shut, no beam broken, stop released. */
function laneLooksClear(state: State): boolean {
  return Object.entries(state.contacts.inputs).every(
    ([name, input]) =>
      input.raw || !(name === 'frontShut' || name === 'stopLoop' || name.startsWith('laneClear')),
  );
}
