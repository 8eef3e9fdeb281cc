/** What one step of the interlock gathers. */
import type { Event } from '../trace.ts';
import type { Condition } from '../faults/faults.ts';
import type { Sight } from './permits.ts';
import type { GateRequest, InterlockConfig, InterlockState } from './state.ts';

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
