/** What one step of the interlock gathers. */
import type { Event } from '../trace.ts';
import type { Condition } from '../faults/faults.ts';
import { end, strokeEvent } from './leaves.ts';
import type { GateRequest, InterlockConfig, InterlockState, Sight } from './state.ts';

export interface Work {
  config: InterlockConfig;
  /** A copy: free to be changed. */
  s: InterlockState;
  t: number;
  request: GateRequest;
  sight: Sight;
  events: Event[];
  conditions: Condition[];
}

export function anyStroke(s: InterlockState): boolean {
  return Object.values(s.leaves).some((leaf) => leaf.stroke !== null);
}

/** All off at once: a leaf that was moving hangs somewhere between its ends. */
export function cutAll({ s, t, events }: Work, andHeld: boolean): void {
  for (const [name, leaf] of Object.entries(s.leaves)) {
    if (leaf.stroke === null || (leaf.stroke.kind === 'hold' && !andHeld)) continue;
    events.push(strokeEvent(name, leaf, 'cut'));
    s.leaves[name] = end(leaf, t, false, false);
  }
  if (andHeld && s.hold !== null) s.hold = { ...s.hold, spent: true };
  s.warningAt = null;
}
