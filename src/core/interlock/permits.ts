/** May a stroke begin now? Every reason against it, by name; an empty list is the only yes. */
import type { ContactsResult } from '../contacts/contacts.ts';
import type { LeafConfig } from './gate.ts';
import { batteryBad } from './battery.ts';
import { dutyAllows } from './duty.ts';
import type {
  GateRequest,
  InterlockConfig,
  InterlockState,
  LeafState,
  Sight,
  StrokeKind,
  Wait,
} from './state.ts';
import { laneClear } from './lane.ts';

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
  if (mustEmpty(state, sight)) list.push('crate');
  if (kind !== 'homing' && !config.gate.leaves.every((leaf) => placed(config, state, leaf))) {
    list.push('position');
  }
  if (!state.supply.records) list.push('records');
  if (!config.keepAliveProved) list.push('keep-alive');
  if (batteryBad(config, state, t)) list.push('battery');
  return list;
}

/** Somebody came out under a moving leaf, and since then the crate was not seen or said to be empty. */
export function mustEmpty(state: InterlockState, sight: Sight): boolean {
  const empty = sight.crateEmpty || (!sight.scaleFresh && state.saidEmpty);
  return state.emptyFirst && !empty;
}

/** Stop loop, rail and fresh samples: no motion of any kind without them. */
export function basic(contacts: ContactsResult): Wait[] {
  const list: Wait[] = [];
  if (contacts.contacts['stopLoop']?.level === false) list.push('stop');
  if (contacts.contacts['actuatorPower']?.level === false) list.push('power');
  if (Object.keys(contacts.contacts).length > 0 && !contacts.fresh) list.push('contacts');
  return list;
}

/** The leaf is at a known end, or under way to one; one that hangs or is held is neither. */
export function placed(config: InterlockConfig, state: InterlockState, leaf: LeafConfig): boolean {
  const seen: LeafState | undefined = state.leaves[leaf.name];
  if (seen === undefined || overdue(config, seen.strokes, leaf.endSwitches)) return false;
  return seen.position !== 'unknown' || (seen.stroke !== null && seen.stroke.kind !== 'hold');
}

/** The leaf that would have to move for this but has to rest first, or null. */
export function dutyWaits(
  config: InterlockConfig,
  state: InterlockState,
  t: number,
  request: GateRequest,
): string | null {
  const homing = request.mode === 'homing';
  const wanted = config.gate.exits[homing ? config.gate.home : (request.exit ?? '')];
  const resting = config.gate.leaves.find((leaf) => {
    const seen = state.leaves[leaf.name];
    if (wanted === undefined || seen === undefined || seen.stroke !== null) return false;
    const moves = homing ? state.toHome.includes(leaf.name) : seen.position !== wanted[leaf.name];
    return moves && !dutyAllows(leaf, seen, t);
  });
  return resting === undefined ? null : resting.name;
}

/** So many strokes on timed position alone that it has to be homed or confirmed. */
export function overdue(config: InterlockConfig, strokes: number, endSwitches: boolean): boolean {
  return !endSwitches && strokes >= config.gate.rehomeAfterStrokes;
}
