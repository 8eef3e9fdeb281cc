/** May a stroke begin now? Every reason against it, by name; an empty list is the only yes. */
import type { ContactsResult } from '../contacts/contacts.ts';
import type { InterlockConfig, InterlockState, StrokeKind, Wait, GateRequest } from './state.ts';
import { laneClear } from './lane.ts';

export interface Sight {
  contacts: ContactsResult;
  scaleFresh: boolean;
  crateEmpty: boolean;
}

/** Reasons against a stroke of this kind, for the whole gate. */
export function waits(
  config: InterlockConfig,
  state: InterlockState,
  t: number,
  request: GateRequest,
  sight: Sight,
  kind: Exclude<StrokeKind, 'hold'>,
): Wait[] {
  const { contacts } = sight;
  const list: Wait[] = [];
  const wanted = kind === 'homing' ? 'homing' : 'running';
  if (state.tripped || request.mode !== wanted) list.push('mode');
  list.push(...basic(contacts));
  const front = contacts.contacts['frontShut'];
  if (front?.level === false) list.push('front');
  if (state.lane.needsConfirm) list.push('confirm');
  else if (!laneClear(state.lane, t, contacts, config.gate.laneHoldMs)) list.push('lane');
  if (kind === 'automatic' && !sight.scaleFresh) list.push('scale');
  if (kind === 'homing' && state.homeNeedsEmpty && !sight.crateEmpty) list.push('crate');
  if (kind !== 'homing' && !positionsKnown(config, state)) list.push('position');
  if (!state.supply.records) list.push('records');
  if (!config.keepAliveProved) list.push('keep-alive');
  if (batteryBad(config, state, t)) list.push('battery');
  return list;
}

/** Stop loop, rail and fresh samples: no motion of any kind without them. */
export function basic(contacts: ContactsResult): Wait[] {
  const list: Wait[] = [];
  if (contacts.contacts['stopLoop']?.level === false) list.push('stop');
  if (contacts.contacts['actuatorPower']?.level === false) list.push('power');
  if (Object.keys(contacts.contacts).length > 0 && !contacts.fresh) list.push('contacts');
  return list;
}

function positionsKnown(config: InterlockConfig, state: InterlockState): boolean {
  return config.gate.leaves.every((leaf) => {
    const seen = state.leaves[leaf.name];
    if (seen === undefined) return false;
    // A leaf under way comes to a known end; only one that hangs between its ends is unknown.
    const known = seen.position !== 'unknown' || seen.stroke !== null;
    return known && !overdue(config, seen.strokes, leaf.endSwitches);
  });
}

/** So many strokes on timed position alone that it has to be homed or confirmed. */
export function overdue(config: InterlockConfig, strokes: number, endSwitches: boolean): boolean {
  return !endSwitches && strokes >= config.gate.rehomeAfterStrokes;
}

export function batteryBad(config: InterlockConfig, state: InterlockState, t: number): boolean {
  const { battery } = config;
  if (battery === null) return false;
  const { volts, voltsAt } = state.supply;
  if (volts === null || voltsAt === null || !state.supply.battery) return true;
  return volts < battery.lowVolts || t - voltsAt > battery.staleMs;
}
