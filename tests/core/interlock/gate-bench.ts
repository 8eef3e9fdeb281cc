/** The interlock alone on a bench: a wish, contacts and a crate are set by hand, leaves travel. */
import type { Contact } from '../../../src/core/contacts/contacts.ts';
import type { Condition } from '../../../src/core/faults/faults.ts';
import type { GateConfig, LeafConfig } from '../../../src/core/interlock/gate.ts';
import { initial, initialResult, interlock } from '../../../src/core/interlock/interlock.ts';
import type {
  GateRequest,
  GateResult,
  InterlockConfig,
  InterlockState,
  Sight,
} from '../../../src/core/interlock/state.ts';
import { TIMES } from '../../../src/core/times.ts';
import { TICK_MS, type Event, type Input } from '../../../src/core/trace.ts';

export const LEAF: LeafConfig = {
  name: 'leafA',
  travelMs: 800,
  maxOnMs: 1000,
  overTravelMs: 0,
  endSwitches: false,
  opening: 'retract',
  duty: null,
};
export const SWITCHED: LeafConfig = { ...LEAF, overTravelMs: 100, endSwitches: true };

/** Two leaves, three exits, no warning and no stagger unless they are asked for. */
export function gateOf(leaf: LeafConfig, change: Partial<GateConfig> = {}): GateConfig {
  return {
    exits: {
      left: { leafA: 'extended', leafB: 'retracted' },
      ahead: { leafA: 'retracted', leafB: 'retracted' },
      right: { leafA: 'retracted', leafB: 'extended' },
    },
    leaves: [leaf, { ...leaf, name: 'leafB' }],
    home: 'ahead',
    deadTimeMs: 250,
    warnMs: { first: 0, later: 0 },
    staggerMs: 0,
    laneHoldMs: 200,
    rehomeAfterStrokes: 50,
    dropOutMs: null,
    forbidden: [],
    ...change,
  };
}

export function configOf(gate: GateConfig, change: Partial<InterlockConfig> = {}): InterlockConfig {
  return { gate, battery: null, keepAliveProved: true, times: TIMES, ...change };
}

const NO_ACTS = { started: false, cleared: false, confirmed: false, crateSeenEmpty: false };

export class Bench {
  readonly config: InterlockConfig;
  state: InterlockState;
  result: GateResult;
  outputs: Record<string, boolean> = {};
  events: Event[] = [];
  conditions: Condition[] = [];
  t = 0;
  request: GateRequest = { mode: 'stopped', exit: null, byHand: false, ...NO_ACTS, hold: null };
  contacts: Record<string, Contact> = {};
  fresh = true;
  linkUp = true;
  chattering: string[] = [];
  crate: Omit<Sight, 'contacts'> = { scaleFresh: true, crateEmpty: true, crateLoaded: false };
  /** Where each leaf really stands: 0 retracted, 1 extended. */
  places: Record<string, number> = {};
  /** Leaves that do not move though they are driven. */
  stuck: string[] = [];

  constructor(config: InterlockConfig, contacts: string[] = ['frontShut', 'stopLoop']) {
    this.config = config;
    this.state = initial(config);
    this.result = initialResult(config);
    for (const name of contacts) this.contacts[name] = contact(true);
    for (const { name, endSwitches } of config.gate.leaves) {
      this.places[name] = 0;
      if (!endSwitches) continue;
      this.contacts[`${name}.extended`] = contact(false);
      this.contacts[`${name}.retracted`] = contact(true);
    }
    this.give({ t: 0, tick: true });
  }

  give(input: Input): this {
    const { fresh, linkUp, chattering } = this;
    const contacts = { fresh, linkUp, contacts: this.contacts, chattering };
    const sight = { contacts, ...this.crate };
    const done = interlock(this.config, this.state, input, this.request, sight);
    this.state = done.state;
    this.result = done.result;
    this.outputs = done.outputs;
    this.events.push(...done.events);
    this.conditions = done.conditions;
    this.request = { ...this.request, ...NO_ACTS, hold: null };
    const still = Object.entries(this.contacts).map(([name, seen]) => {
      return [name, { ...seen, rose: false, fell: false }] as const;
    });
    this.contacts = Object.fromEntries(still);
    return this;
  }

  wait(ms: number): this {
    for (const end = this.t + ms; this.t + TICK_MS <= end;) {
      this.t += TICK_MS;
      this.#travel();
      this.give({ t: this.t, tick: true });
    }
    return this;
  }

  /** A contact's level from now on, raw and debounced. */
  set(name: string, on: boolean): this {
    this.#turn(name, on);
    return this.give({ t: this.t, input: name, on });
  }

  /** A level, seen at the next step. */
  put(name: string, on: boolean): this {
    this.contacts[name] = contact(on);
    return this;
  }

  /** A raw level only: not yet debounced. */
  raw(name: string, on: boolean): this {
    this.contacts[name] = { ...(this.contacts[name] ?? contact(false)), raw: on };
    return this.give({ t: this.t, input: name, on });
  }

  ask(request: Partial<GateRequest>): this {
    this.request = { ...this.request, ...request };
    return this.give({ t: this.t, command: { do: 'mark' } });
  }

  /** A person starts and sees that the lane is clear; every leaf goes home. */
  start(): this {
    this.wait(300).ask({ mode: 'homing', started: true }).ask({ confirmed: true });
    for (let n = 0; n < 400 && !this.result.homed; n += 1) this.wait(TICK_MS);
    return this.ask({ mode: 'running' });
  }

  load(kg: 'empty' | 'loaded' | 'between' | 'silent'): this {
    const scaleFresh = kg !== 'silent';
    this.crate = { scaleFresh, crateEmpty: kg === 'empty', crateLoaded: kg === 'loaded' };
    return this;
  }

  on(): string[] {
    return Object.keys(this.outputs).filter((name) => this.outputs[name] && name !== 'keepAlive');
  }

  faults(): string[] {
    return this.conditions.map((c) =>
      c.detail === undefined ? c.fault : `${c.fault} ${c.detail}`,
    );
  }

  #turn(name: string, on: boolean): void {
    const before = this.contacts[name]?.level ?? false;
    this.contacts[name] = { ...contact(on), rose: on && !before, fell: !on && before };
  }

  #travel(): void {
    for (const leaf of this.config.gate.leaves) {
      const { name } = leaf;
      if (this.stuck.includes(name)) continue;
      const way = this.outputs[`${name}.extend`] ? 1 : this.outputs[`${name}.retract`] ? -1 : 0;
      const place = (this.places[name] ?? 0) + (way * TICK_MS) / leaf.travelMs;
      this.places[name] = Math.min(1, Math.max(0, Math.round(place * 1e6) / 1e6));
      if (!leaf.endSwitches || way === 0) continue;
      this.#turn(`${name}.extended`, this.places[name] === 1);
      this.#turn(`${name}.retracted`, this.places[name] === 0);
    }
  }
}

function contact(on: boolean): Contact {
  return { raw: on, level: on, since: null, rose: false, fell: false };
}
