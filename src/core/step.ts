/**
 * The core: `step(config, state, input) -> { state, outputs, events }`. It composes the modules and
 * does nothing else. One input is one trace record or one tick; same inputs, same bytes.
 */
import type { Event, Input } from './trace.ts';
import * as contacts from './contacts/contacts.ts';
import * as cycle from './cycle/cycle.ts';
import type { CycleState } from './cycle/state.ts';
import type { CrateConfig } from './cycle/crate.ts';
import { signals, type SignalView } from './cycle/signals.ts';
import * as faults from './faults/faults.ts';
import { severity } from './faults/table.ts';
import type { BatteryConfig, GateConfig } from './interlock/gate.ts';
import * as interlock from './interlock/interlock.ts';
import type { GateResult, InterlockState } from './interlock/state.ts';
import type { Plan } from './sortplan/plan.ts';
import type { WeighingConfig, WeighingInput, WeighingResult } from './weighing/result.ts';
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
    contacts: contacts.initial(contactsConfig(config)),
    weighing: weighing.initial(weighingConfig(config)),
    cycle: cycle.initial(),
    interlock: interlock.initial(config),
    faults: faults.initial(),
    gate: interlock.initialResult(config),
  };
}

/** Takes one input. The input may be of the time of the one before it, never earlier. */
export function step(config: Config, state: State, input: Input): Stepped {
  const seen = contacts.contacts(contactsConfig(config), state.contacts, input);
  const front = seen.result.contacts['frontShut'];
  const counts = ['backShut', 'handsOff'].every(
    (name) => seen.result.contacts[name]?.level ?? true,
  );
  let weighed = weighing.weigh(weighingConfig(config), state.weighing, weighingInput(input), {
    frontShut: front?.raw ?? true,
    frontProvedShut: front?.rose ?? false,
    weightCounts: counts,
  });
  const sight = {
    contacts: seen.result,
    weighing: weighed.result,
    gate: state.gate,
    faults: faults.result(state.faults),
  };
  const ran = cycle.cycle(config, state.cycle, input, sight);
  for (const asked of zeroInputs(input.t, ran.result)) {
    weighed = weighing.weigh(weighingConfig(config), weighed.state, asked, {
      frontShut: front?.raw ?? true,
      frontProvedShut: false,
      weightCounts: counts,
    });
  }
  const locked = interlock.interlock(config, state.interlock, input, ran.result.request, {
    contacts: seen.result,
    scaleFresh: weighed.result.fresh,
    crateEmpty: weighed.result.occupancy === 'empty',
  });
  const chattering = seen.result.chattering.map(
    (detail) => ({ fault: 'input-chatters', detail }) as const,
  );
  const { mode, cleared } = ran.result.request;
  const found = faults.faults(
    state.faults,
    input.t,
    [...locked.conditions, ...chattering, ...ran.conditions],
    mode !== 'stopped',
    cleared,
  );
  const next: State = {
    contacts: seen.state,
    weighing: weighed.state,
    cycle: ran.state,
    interlock: locked.state,
    faults: found.state,
    gate: locked.result,
  };
  return {
    state: next,
    outputs: { ...locked.outputs, ...signals(signalView(config, next, found.result), input.t) },
    events: [...ran.events, ...locked.events, ...found.events],
    weighing: weighed.result,
  };
}

function contactsConfig(config: Config): contacts.ContactsConfig {
  return { inputs: config.inputs, debounceMs: config.crate.debounceMs };
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

function zeroInputs(t: number, asked: { zero: boolean; crateEmpty: boolean }): WeighingInput[] {
  const inputs: WeighingInput[] = [];
  if (asked.zero) inputs.push({ t, zero: true });
  if (asked.crateEmpty) inputs.push({ t, crateEmpty: true });
  return inputs;
}

function signalView(config: Config, state: State, found: faults.FaultsResult): SignalView {
  const { mode, animal, acknowledgedAt } = state.cycle;
  const trip = found.active.find((a) => severity(a.fault) === 'trip');
  const view: SignalView = {
    ready: null,
    warning: state.gate.warning,
    call: null,
    trip: mode === 'fault' ? (trip?.since ?? null) : null,
  };
  if (animal === null || animal.opening !== null) return view;
  const { readyAt, calledAt, decision } = animal;
  const exit = decision?.stay === true ? state.gate.at : (decision?.exit ?? null);
  if (readyAt !== null && exit !== null) {
    view.ready = { since: readyAt, place: Object.keys(config.gate.exits).indexOf(exit) };
  }
  const answered = calledAt !== null && acknowledgedAt !== null && acknowledgedAt >= calledAt;
  if (!answered) view.call = calledAt;
  return view;
}
