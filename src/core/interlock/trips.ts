/** What takes all motion off at once, found from raw contacts, links and the clock alone. */
import type { Input, Mode } from '../trace.ts';
import type { ContactsResult } from '../contacts/contacts.ts';
import type { Condition } from '../faults/faults.ts';
import { beams } from './lane.ts';
import type { InterlockConfig, InterlockState } from './state.ts';

/** No tick for longer than this: the service stood still. */
const TICK_GAP_MS = 100;
/** After power-up the first samples may still be on their way. */
const FIRST_SAMPLES_MS = 200;
/** What a rail may take longer than the drop-out relay's own time. */
const RAIL_SLACK_MS = 300;

export function trips(
  config: InterlockConfig,
  state: InterlockState,
  input: Input,
  mode: Mode,
  contacts: ContactsResult,
): Condition[] {
  const t = input.t;
  const sinceStart = state.startedAt === null ? 0 : t - state.startedAt;
  const idle = mode === 'stopped' && sinceStart < FIRST_SAMPLES_MS;
  const conditions: Condition[] = [];
  if (!idle && contacts.contacts['stopLoop']?.raw === false)
    conditions.push({ fault: 'stop-pressed' });
  if (!idle && Object.keys(contacts.contacts).length > 0 && !contacts.fresh) {
    conditions.push({ fault: 'inputs-lost' });
  }
  if (mode !== 'stopped' && stoodStill(state, input)) conditions.push({ fault: 'tick-late' });
  if (!state.supply.relays) conditions.push({ fault: 'relays-lost' });
  return [...conditions, ...rail(config, state, t, contacts), ...intruded(state, contacts)];
}

function stoodStill(state: InterlockState, input: Input): boolean {
  if ('late' in input && input.late > TICK_GAP_MS) return true;
  return state.tickAt !== null && input.t - state.tickAt > TICK_GAP_MS;
}

function rail(
  config: InterlockConfig,
  state: InterlockState,
  t: number,
  contacts: ContactsResult,
): Condition[] {
  const power = contacts.contacts['actuatorPower'];
  if (power === undefined) return [];
  if (state.silentAt === null) {
    return state.railSeen && power.fell ? [{ fault: 'rail-dead' }] : [];
  }
  const { dropOutMs } = config.gate;
  if (dropOutMs === null || t - state.silentAt <= dropOutMs + RAIL_SLACK_MS) return [];
  return power.raw ? [{ fault: 'rail-live' }] : [];
}

/** The front opened or the lane was entered with a leaf under way (not one held by a person). */
function intruded(state: InterlockState, contacts: ContactsResult): Condition[] {
  const under = Object.values(state.leaves).some(
    (leaf) => leaf.stroke !== null && leaf.stroke.kind !== 'hold',
  );
  if (!under) return [];
  if (contacts.contacts['frontShut']?.raw === false) return [{ fault: 'let-out-early' }];
  if (beams(contacts).some((name) => contacts.contacts[name]?.raw === false)) {
    return [{ fault: 'lane-entered' }];
  }
  return [];
}
