/**
 * The one place that turns motion outputs on: wanted exit, contacts and stop in, the full map of
 * output levels out, safe in every state. The twelve rules stand in `docs/safety.md`.
 */
import type { Event, Input } from '../trace.ts';
import type { Condition } from '../faults/faults.ts';
import { batteryBad, batteryDue, batteryWeak, withVolts } from './battery.ts';
import { holdToRun } from './hold.ts';
import { initialLane, watchLane } from './lane.ts';
import * as leaves from './leaves.ts';
import { homing, moveTo } from './moves.ts';
import { dutyWaits, overdue } from './permits.ts';
import { resultOf, standsAt } from './result.ts';
import type {
  GateRequest,
  GateResult,
  InterlockConfig,
  InterlockState,
  LeafState,
  Sight,
} from './state.ts';
import { trips } from './trips.ts';
import { cutAll, type Work } from './work.ts';

export function initial(config: InterlockConfig): InterlockState {
  const all: Record<string, LeafState> = {};
  for (const leaf of config.gate.leaves) all[leaf.name] = leaves.initialLeaf(leaf);
  return {
    startedAt: null,
    tickAt: null,
    leaves: all,
    lane: initialLane(),
    supply: initialSupply(),
    tripped: false,
    toHome: [],
    homeFirst: false,
    emptyFirst: false,
    saidEmpty: false,
    warningAt: null,
    warned: false,
    strokeBeganAt: null,
    hold: null,
    endedPress: null,
    silentAt: null,
    railSeen: false,
  };
}

function initialSupply(): InterlockState['supply'] {
  const supply = { records: true, relays: true, battery: true, volts: null, voltsAt: null };
  return { ...supply, restVolts: null, movingVolts: null, toldAt: null };
}

/** What `step` sees of the gate before the first input. */
export function initialResult(config: InterlockConfig): GateResult {
  return resultOf(config, initial(config), 0, emptyRequest, noSight, false);
}

const emptyRequest: GateRequest = {
  mode: 'stopped',
  exit: null,
  byHand: false,
  started: false,
  cleared: false,
  confirmed: false,
  crateSeenEmpty: false,
  hold: null,
};
const noSight: Sight = {
  contacts: { fresh: false, linkUp: true, contacts: {}, chattering: [] },
  scaleFresh: false,
  crateEmpty: false,
  crateLoaded: false,
};

/** Takes one input and the other modules' results; gives every output's level. */
export function interlock(
  config: InterlockConfig,
  state: InterlockState,
  input: Input,
  request: GateRequest,
  sight: Sight,
): {
  state: InterlockState;
  result: GateResult;
  outputs: Record<string, boolean>;
  events: Event[];
  conditions: Condition[];
} {
  const t = input.t;
  const work: Work = { config, s: { ...state }, t, request, sight, events: [], conditions: [] };
  const { s } = work;
  s.leaves = { ...state.leaves };
  if (s.startedAt === null) powerUp(work);
  takeSupply(work, input);
  takeWord(work);
  s.lane = watchLane(state.lane, t, {
    sight,
    at: standsAt(config, state),
    started: request.started,
    confirmed: request.confirmed,
    unseen: request.unseen ?? false,
    times: config.times,
  });
  if (request.confirmed && !s.lane.needsConfirm) confirmPositions(s);
  watchSwitches(work);
  work.conditions.push(...trips(work, state, input));
  endStrokes(work);
  trip(work);
  const homed = homing(work);
  moveTo(work);
  holdToRun(work);
  if ('tick' in input) s.tickAt = t;
  feed(work);
  holdingConditions(work);
  tellBattery(work);
  const result = resultOf(config, s, t, request, sight, homed);
  return {
    state: s,
    result,
    outputs: outputs(work),
    events: work.events,
    conditions: work.conditions,
  };
}

/** After a restart nobody knows what was on a moment ago: every direction counts as just gone off. */
function powerUp({ s, t }: Work): void {
  s.startedAt = t;
  s.silentAt = t;
  for (const [name, leaf] of Object.entries(s.leaves)) {
    s.leaves[name] = { ...leaf, extendOffAt: t, retractOffAt: t, dutyAt: t };
  }
}

function takeSupply({ s, t, request }: Work, input: Input): void {
  if (request.started) s.supply = { ...s.supply, movingVolts: null };
  if ('volts' in input) s.supply = withVolts(s, t, input.volts);
  if (!('link' in input)) return;
  if (input.link === 'records' || input.link === 'relays' || input.link === 'battery') {
    s.supply = { ...s.supply, [input.link]: input.up };
  }
  // A relay board that was away may have kept anything on until now.
  if (input.link !== 'relays') return;
  for (const [name, leaf] of Object.entries(s.leaves)) {
    s.leaves[name] = { ...leaf, extendOffAt: t, retractOffAt: t };
  }
}

/** What a person sees of the crate counts only where no weight says it. */
function takeWord({ s, request, sight }: Work): void {
  if (sight.scaleFresh) s.saidEmpty = false;
  else if (request.crateSeenEmpty || request.confirmed) s.saidEmpty = true;
}

/** A person has looked at the gate: the counted strokes begin anew. */
function confirmPositions(s: InterlockState): void {
  for (const [name, leaf] of Object.entries(s.leaves)) s.leaves[name] = { ...leaf, strokes: 0 };
}

function watchSwitches({ config, s, t, sight, request, conditions }: Work): void {
  const lettingGo = sight.contacts.contacts['frontShut']?.raw === false && !sight.crateEmpty;
  for (const leaf of config.gate.leaves) {
    const state = s.leaves[leaf.name];
    if (state === undefined || !leaf.endSwitches) continue;
    const { deadTimeMs } = config.gate;
    const found = leaves.switchFaults(leaf, state, t, sight.contacts, lettingGo, deadTimeMs);
    if (request.mode !== 'stopped' && request.mode !== 'fitting') conditions.push(...found);
    if (state.stroke !== null) continue;
    const position = leaves.seenPosition(leaf, sight.contacts);
    s.leaves[leaf.name] = { ...state, position, assumed: false };
  }
}

/** Latches a trip, takes motion off. A leaf may still be freed by hand after the first moment. */
function trip(work: Work): void {
  const { s, request, conditions } = work;
  const stopped = request.mode === 'stopped';
  const tripping = conditions.length > 0 && !stopped;
  const first = tripping && !s.tripped;
  if (tripping) s.tripped = true;
  // Out of a fault leads only a person's clearing; the start after it may be the same press.
  else if (stopped || request.cleared) s.tripped = false;
  if (conditions.some((c) => c.fault === 'let-out-early' || c.fault === 'lane-entered')) {
    intrusion(work);
  }
  if (stopped) s.warned = false;
  if (!tripping && !stopped && request.mode !== 'fault') return;
  cutAll(work, first || stopped);
  s.toHome = [];
}

function intrusion({ s, events }: Work): void {
  s.homeFirst = true;
  s.emptyFirst = true;
  s.saidEmpty = false;
  s.lane = { ...s.lane, needsConfirm: true };
  const reason = 'somebody came out while a leaf was moving: look at the gate';
  events.push({ kind: 'call', reason });
}

function endStrokes({ config, s, t, sight, events, conditions }: Work): void {
  for (const leaf of config.gate.leaves) {
    const before = s.leaves[leaf.name];
    if (before === undefined) continue;
    const { state, ended, conditions: found } = leaves.endIfDue(leaf, before, t, sight.contacts);
    s.leaves[leaf.name] = state;
    if (ended) events.push(leaves.strokeEvent(leaf.name, before, 'ended'));
    if (ended && before.stroke?.kind === 'hold' && s.hold !== null) {
      s.hold = { ...s.hold, spent: true };
    }
    conditions.push(...found);
  }
}

/** Keep-alive: silent while stopped, in fault or not started; a held button is a start of its own. */
function feed({ s, t, request, sight }: Work): void {
  const on = !s.tripped && request.mode !== 'stopped' && request.mode !== 'fault';
  const fed = on || (s.hold !== null && !s.hold.spent);
  if (fed) s.silentAt = null;
  else s.silentAt ??= t;
  if (!fed) s.railSeen = false;
  else if (sight.contacts.contacts['actuatorPower']?.level === true) s.railSeen = true;
}

/** Conditions under which this animal is finished and no further stroke begins. */
function holdingConditions({ config, s, t, request, conditions }: Work): void {
  if (request.mode === 'stopped') return;
  if (!s.supply.records) conditions.push({ fault: 'records-not-saved' });
  if (!config.keepAliveProved) conditions.push({ fault: 'keep-alive-unproved' });
  if (batteryBad(config, s, t)) conditions.push({ fault: 'battery-low' });
  else if (batteryWeak(config, s)) conditions.push({ fault: 'battery-weak' });
  for (const leaf of config.gate.leaves) {
    const strokes = s.leaves[leaf.name]?.strokes ?? 0;
    if (!overdue(config, strokes, leaf.endSwitches)) continue;
    conditions.push({ fault: 'position-unproved', detail: leaf.name });
  }
  const resting = dutyWaits(config, s, t, request);
  if (resting !== null) conditions.push({ fault: 'duty-spent', detail: resting });
}

/** The trend of a day: how the battery stood, now and then. */
function tellBattery({ s, t, events }: Work): void {
  const { restVolts, movingVolts } = s.supply;
  if (restVolts === null || !batteryDue(s, t)) return;
  s.supply = { ...s.supply, toldAt: t };
  events.push({ kind: 'battery', restVolts, movingVolts });
}

/** Every output of this module: motion from the strokes and nothing else, and the keep-alive. */
function outputs({ config, s }: Work): Record<string, boolean> {
  const map: Record<string, boolean> = {};
  for (const leaf of config.gate.leaves) {
    const direction = s.leaves[leaf.name]?.stroke?.direction ?? null;
    map[`${leaf.name}.extend`] = direction === 'extend';
    map[`${leaf.name}.retract`] = direction === 'retract';
  }
  map['keepAlive'] = s.silentAt === null;
  return map;
}
