/**
 * The core: `step(config, state, input) -> { state, outputs, events }`. It composes the modules and
 * does nothing else. One input is one trace record or one tick; same inputs, same bytes.
 */
import type { Event, Input, Mark } from './trace.ts';
import * as contacts from './contacts/contacts.ts';
import * as cycle from './cycle/cycle.ts';
import { unanswered } from './cycle/calls.ts';
import type { CycleState } from './cycle/state.ts';
import type { CrateConfig } from './cycle/crate.ts';
import { signals, type SignalView } from './cycle/signals.ts';
import * as faults from './faults/faults.ts';
import { severity } from './faults/table.ts';
import type { BatteryConfig, GateConfig } from './interlock/gate.ts';
import * as interlock from './interlock/interlock.ts';
import type { GateResult, InterlockState } from './interlock/state.ts';
import type { Plan } from './sortplan/plan.ts';
import { TIMES, type Times } from './times.ts';
import type {
  WeighingConfig,
  WeighingContacts,
  WeighingInput,
  WeighingResult,
} from './weighing/result.ts';
import * as weighing from './weighing/weighing.ts';

/** All that `step` depends on besides state and input: plain JSON, frozen, resolved. */
export interface Config {
  scale: { divisionKg: number; rateHz: number; maxKg: number; staleMs: number };
  crate: CrateConfig;
  gate: GateConfig;
  plan: Plan;
  /** Names of the inputs that are fitted. */
  inputs: string[];
  battery: BatteryConfig | null;
  /** Keep-alive was proved to drop the actuators out at fitting. */
  keepAliveProved: boolean;
  /** Safety steps of the fitting that are open, by name: a start is refused; left out where none is. */
  notFitted?: string[];
  /** What each wired button for a mark gives, by the name after `markButton.`. */
  markButtons?: Record<string, Mark>;
  /** The site has no tag reader: nothing waits for a tag. */
  noReader?: true;
}

/** Plain JSON. Every absolute time in it is a field whose name ends in `At`. */
export interface State {
  contacts: contacts.ContactsState;
  weighing: weighing.WeighingState;
  cycle: CycleState;
  interlock: InterlockState;
  faults: faults.FaultsState;
  /** What the gate showed after the step before: the cycle sees it one step late. */
  gate: GateResult;
}

export interface Stepped {
  state: State;
  /** The full map of output levels. */
  outputs: Record<string, boolean>;
  events: Event[];
  /** For showing only. */
  weighing: WeighingResult;
}

export function initial(config: Config): State {
  return {
    contacts: contacts.initial(contactsConfig(config, TIMES)),
    weighing: weighing.initial(weighingConfig(config)),
    cycle: cycle.initial(),
    interlock: interlock.initial({ ...config, times: TIMES }),
    faults: faults.initial(),
    gate: interlock.initialResult({ ...config, times: TIMES }),
  };
}

/** Takes one input. The input may be of the time of the one before it, never earlier. */
export function step(config: Config, given: State, input: Input): Stepped {
  const state = 'config' in input ? renewed(config, given) : given;
  const { weighing: forWeighing } = partsOf(config, TIMES);
  let weighed: { state: weighing.WeighingState; result: WeighingResult } | null = null;
  const scale: Scale = {
    weigh(seen) {
      const taken = weighingInput(input);
      weighed = weighing.weigh(forWeighing, state.weighing, taken, seen);
      return weighed.result;
    },
    ask(asked, seen) {
      const before = weighed?.state ?? state.weighing;
      weighed = weighing.weigh(forWeighing, before, asked, seen);
      return weighed.result;
    },
  };
  const { state: next, outputs, events, result } = stepWith(config, state, input, scale, TIMES);
  const after = (weighed as { state: weighing.WeighingState } | null)?.state ?? state.weighing;
  const { contacts, cycle, interlock, faults, gate } = next;
  return {
    state: { contacts, cycle, interlock, faults, gate, weighing: after },
    outputs,
    events,
    weighing: result,
  };
}

/** Where the weights come from: the shipped weighing, or another in its place. */
export interface Scale {
  /** The result at this step's input. */
  weigh(seen: WeighingContacts): WeighingResult;
  /** The result after a person's word on the crate. */
  ask(asked: WeighingInput, seen: WeighingContacts): WeighingResult;
}

/** `step` with the weighing and the fixed times left open. */
export function stepWith(
  config: Config,
  state: Omit<State, 'weighing'>,
  input: Input,
  scale: Scale,
  times: Times,
): {
  state: Omit<State, 'weighing'>;
  outputs: Record<string, boolean>;
  events: Event[];
  result: WeighingResult;
} {
  const { t } = input;
  const { timed, contacts: forContacts } = partsOf(config, times);
  const seen = contacts.contacts(forContacts, state.contacts, input);
  const at = weighingContacts(seen.result);
  let result = scale.weigh(at);
  const sight = {
    contacts: seen.result,
    weighing: result,
    gate: state.gate,
    faults: faults.result(state.faults),
  };
  const ran = cycle.cycle(timed, state.cycle, input, sight);
  const later = { ...at, frontProvedShut: false };
  if (ran.result.zero) result = scale.ask({ t, zero: true }, later);
  if (ran.result.crateEmpty) result = scale.ask({ t, crateEmpty: true }, later);
  const { fresh, occupancy } = result;
  const locked = interlock.interlock(timed, state.interlock, input, ran.result.request, {
    contacts: seen.result,
    scaleFresh: fresh,
    crateEmpty: fresh && occupancy === 'empty',
    crateLoaded: fresh && occupancy === 'loaded',
  });
  const { mode, cleared } = ran.result.request;
  const conditions = [...locked.conditions, ...ran.conditions];
  const found = faults.faults(state.faults, t, conditions, mode !== 'stopped', cleared);
  const next = {
    contacts: seen.state,
    cycle: ran.state,
    interlock: locked.state,
    faults: found.state,
    gate: locked.result,
  };
  return {
    state: next,
    outputs: { ...locked.outputs, ...signals(signalView(config, next, found.result), t) },
    events: [...ran.events, ...locked.events, ...found.events],
    result,
  };
}

/** What the modules are given of the configuration. */
interface Parts {
  timed: Config & { times: Times };
  contacts: contacts.ContactsConfig;
  weighing: WeighingConfig;
}

/** They are the same at every step and take longer to put together than most steps; kept a config. */
const parts = new WeakMap<Config, Parts>();

function partsOf(config: Config, times: Times): Parts {
  const known = parts.get(config);
  if (known?.timed.times === times) return known;
  const made = {
    timed: { ...config, times },
    contacts: contactsConfig(config, times),
    weighing: weighingConfig(config),
  };
  parts.set(config, made);
  return made;
}

/**
 * A new configuration begins as after power-up, so that every dead time counts anew; what is known
 * of session and crate goes on. Whoever gives it sees to it that the gate is stopped and empty.
 */
function renewed(config: Config, state: State): State {
  const fresh = initial(config);
  for (const [name, known] of Object.entries(state.contacts.inputs)) {
    if (name in fresh.contacts.inputs) fresh.contacts.inputs[name] = known;
  }
  const { linkUp, sampledAt } = state.contacts;
  const kept = { ...fresh.contacts, linkUp, sampledAt };
  const { supply } = state.interlock;
  return {
    ...state,
    contacts: kept,
    interlock: { ...fresh.interlock, supply },
    gate: fresh.gate,
  };
}

function weighingContacts(seen: contacts.ContactsResult): WeighingContacts {
  const front = seen.contacts['frontShut'];
  return {
    frontShut: front?.raw ?? true,
    frontProvedShut: front?.rose ?? false,
    weightCounts: ['backShut', 'handsOff'].every((name) => seen.contacts[name]?.level ?? true),
  };
}

function contactsConfig(config: Config, times: Times): contacts.ContactsConfig {
  return { inputs: config.inputs, debounceMs: config.crate.debounceMs, times };
}

function weighingConfig(config: Config): WeighingConfig {
  const { loadingKg, emptyKg, kind } = config.crate;
  const settle = config.plan.decide.settle ?? null;
  return { ...config.scale, loadingKg, emptyKg, clamp: kind === 'clamp', settle };
}

function weighingInput(input: Input): WeighingInput {
  if ('kg' in input) return input;
  if ('link' in input && input.link === 'scale') return { t: input.t, link: 'scale', up: input.up };
  return { t: input.t };
}

function signalView(
  config: Config,
  state: Omit<State, 'weighing'>,
  found: faults.FaultsResult,
): SignalView {
  const { mode, animal, saying } = state.cycle;
  const trip = found.active.find((a) => severity(a.fault) === 'trip');
  const { warningAt, warnsFirst } = state.gate;
  const calls = unanswered(state.cycle, found);
  const view: SignalView = {
    ready: null,
    warning: warningAt === null ? null : { since: warningAt, first: warnsFirst },
    call: calls.animal ?? calls.offer,
    held: calls.held,
    saying: null,
    trip: mode === 'fault' ? (trip?.since ?? null) : null,
  };
  if (saying !== null) view.saying = { what: saying.what, since: saying.beganAt };
  if (animal === null || animal.opening !== null) return view;
  const { readyAt, decision } = animal;
  const exit = decision?.stay === true ? state.gate.at : (decision?.exit ?? null);
  if (readyAt !== null && exit !== null && mode === 'running' && !state.gate.tripped) {
    view.ready = { since: readyAt, place: Object.keys(config.gate.exits).indexOf(exit) };
  }
  return view;
}
