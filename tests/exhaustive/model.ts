/**
 * The shipped contacts, cycle, interlock and faults with their watcher, taken on by one happening and
 * the tick after it. The profile's times are a few ticks and the weight is one of a few classes.
 */
import type * as Core from '../../src/core/step.ts';
import type { Config, Scale } from '../../src/core/step.ts';
import type { Times } from '../../src/core/times.ts';
import type { Event, Input } from '../../src/core/trace.ts';
import type { WeighingContacts, WeighingResult } from '../../src/core/weighing/result.ts';
import { ageOf, canonicalCore, type CoreState } from './canonical.ts';
import { canonicalWatch, initialWatch, watch, type Watch, type Watched } from './rules.ts';

export type CoreModule = Pick<typeof Core, 'initial' | 'stepWith'>;

/** The weight as the cycle sees it: none, empty, not settled, or settled in one of the lots. */
export type Weight = 'none' | 'empty' | 'moving' | number;

/** Something that can happen between two ticks; the tick after it belongs to it. */
export type Happening =
  | { what: 'tick' }
  | { what: 'late' }
  | { what: 'several'; all: Happening[] }
  | { what: 'weight'; weight: Weight }
  /** Changes the level of a contact. */
  | { what: 'toggle'; input: string }
  | { what: 'input'; give: (t: number) => Input };

export interface Node {
  core: CoreState;
  watch: Watch;
  weight: Weight;
  /** Since when the weight that is on is there. */
  enteredAt: number | null;
}

export interface Taken {
  node: Node;
  /** Time of the tick, counted from the tick before. */
  t: number;
  breaches: string[];
  outputs: Record<string, boolean>;
  events: Event[];
}

const TICK = 20;
/** Inputs come with their tick, or halfway to it: then a debounce of one tick takes two. */
export type Phase = 'with the tick' | 'between ticks';

export const SHORT: Times = {
  sampleLifeMs: 20,
  chatterMs: 0,
  tickGapMs: 40,
  firstSamplesMs: 0,
  railSlackMs: 20,
  holdLifeMs: 40,
  holdLongestMs: 60,
  knockMs: 20,
  freshPressMs: 40,
  stuckMs: 80,
  lookMs: 20,
};

export class Model {
  readonly #core: CoreModule;
  readonly #config: Config;
  readonly #watched: Watched;

  readonly #honest: string[];
  /** From a tick to the next inputs, ms. */
  readonly #afterMs: number;

  /** @param honest leaves whose end switches follow their outputs. */
  constructor(core: CoreModule, config: Config, honest: string[], phase: Phase) {
    const { gate, inputs, keepAliveProved } = config;
    const { debounceMs } = config.crate;
    const battery = config.battery !== null;
    this.#core = core;
    this.#config = config;
    this.#afterMs = phase === 'with the tick' ? TICK : TICK / 2;
    this.#honest = honest.filter((name) => inputs.includes(`${name}.extended`));
    this.#watched = { gate, inputs, debounceMs, keepAliveProved, battery, times: SHORT };
  }

  /** So long after power-up that every dead time and age is over. */
  begin(on: string[]): Node {
    const { contacts, cycle, interlock, faults, gate } = this.#core.initial(this.#config);
    const core = { contacts, cycle, interlock, faults, gate };
    const node: Node = {
      core,
      watch: initialWatch(this.#watched, 0),
      weight: 'empty',
      enteredAt: null,
    };
    const taken: Taken = { node, t: 0, breaches: [], outputs: {}, events: [] };
    for (const input of on) this.#step(taken, { t: 0, input, on: true });
    let rested = this.canonical(taken);
    for (let i = 0; i < 8; i += 1) rested = this.canonical(this.take(rested, { what: 'tick' }));
    return rested;
  }

  /** One happening and its tick; `at` is the time of the tick before. */
  take(node: Node, happening: Happening, at = 0): Taken {
    const taken: Taken = { node, t: at, breaches: [], outputs: {}, events: [] };
    const parts = happening.what === 'several' ? happening.all : [happening];
    let late = false;
    for (const input of this.#switched(node.watch, at)) this.#step(taken, input);
    for (const part of parts) {
      if (part.what === 'late') late = true;
      const input = inputOf(taken.node, part, at, this.#afterMs);
      if (input === null) continue;
      if (part.what === 'weight') taken.node = weighedNow(taken.node, part.weight, input.t);
      this.#step(taken, input);
    }
    this.#step(taken, { t: at + (late ? 4 : 1) * TICK, tick: true });
    return taken;
  }

  /** A leaf that is driven leaves its end halfway through one tick and reaches the other in the next. */
  #switched({ outputs, contacts }: Watch, at: number): Input[] {
    const given: Input[] = [];
    const t = at + this.#afterMs;
    for (const name of this.#honest) {
      const extends_ = outputs[`${name}.extend`]?.on === true;
      if (!extends_ && outputs[`${name}.retract`]?.on !== true) continue;
      const [near, far] = [`${name}.retracted`, `${name}.extended`];
      const [from, to] = extends_ ? [near, far] : [far, near];
      if (contacts[from]?.on === true) given.push({ t: t, input: from, on: false });
      else if (contacts[to]?.on === false) given.push({ t: t, input: to, on: true });
    }
    return given;
  }

  canonical({ node, t }: Taken): Node {
    const { crate, plan } = this.#config;
    const limit = Math.max(plan.decide.callAfterMs, crate.heldCallMs);
    return {
      core: canonicalCore(this.#config, SHORT, node.core, t, node.enteredAt),
      watch: canonicalWatch(this.#watched, node.watch, t),
      weight: node.weight,
      enteredAt: ageOf(node.enteredAt, t, limit),
    };
  }

  #step(taken: Taken, input: Input): void {
    const { node } = taken;
    let { enteredAt } = node;
    const weigh = ({ frontProvedShut }: WeighingContacts): WeighingResult => {
      // What is on the crate once the front is shut again is another load.
      if (frontProvedShut && enteredAt !== null) enteredAt = input.t;
      return weighedAs(node.weight, enteredAt);
    };
    const scale: Scale = { weigh, ask: () => weighedAs(node.weight, enteredAt) };
    const stepped = this.#core.stepWith(this.#config, node.core, input, scale, SHORT);
    const { outputs, events } = stepped;
    const { fresh, occupancy } = stepped.result;
    const seen = { t: input.t, input, outputs, scale: { fresh, occupancy } };
    const { next, breaches } = watch(this.#watched, node.watch, seen);
    taken.node = { core: stepped.state, watch: next, weight: node.weight, enteredAt };
    taken.t = input.t;
    taken.outputs = outputs;
    for (const breach of breaches) taken.breaches.push(breach);
    for (const event of events) taken.events.push(event);
  }
}

const isLoad = (weight: Weight): boolean => weight === 'moving' || typeof weight === 'number';

function weighedNow(node: Node, weight: Weight, t: number): Node {
  return { ...node, weight, enteredAt: isLoad(weight) ? (node.enteredAt ?? t) : null };
}

function inputOf(node: Node, happening: Happening, at: number, afterMs: number): Input | null {
  switch (happening.what) {
    case 'late':
      return { t: at + 3 * TICK + afterMs, late: 2 * TICK + afterMs };
    case 'weight':
      return { t: at + afterMs, kg: 1 };
    case 'toggle': {
      const on = node.watch.contacts[happening.input]?.on !== true;
      return { t: at + afterMs, input: happening.input, on };
    }
    case 'input':
      return happening.give(at + afterMs);
    default:
      return null;
  }
}

function weighedAs(weight: Weight, enteredAt: number | null): WeighingResult {
  return {
    reading: null,
    fresh: weight !== 'none',
    zeroKnown: true,
    occupancy: weight === 'empty' ? 'empty' : isLoad(weight) ? 'loaded' : 'unknown',
    enteredAt,
    estimate:
      typeof weight === 'number'
        ? {
            kg: weight,
            u95Kg: 0.1,
            uKg: 0.05,
            settled: true,
            spanMs: 1000,
            toCome: { half: 0, foot: 0 },
          }
        : null,
    oddities: [],
  };
}

export function nameOf(happening: Happening): string {
  switch (happening.what) {
    case 'weight':
      return `weight ${happening.weight}`;
    case 'toggle':
      return happening.input;
    case 'input':
      return JSON.stringify(happening.give(0));
    case 'several':
      return happening.all.map(nameOf).join(' + ');
    default:
      return happening.what;
  }
}
