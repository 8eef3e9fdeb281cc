/**
 * Explores the shipped contacts, cycle, interlock and faults breadth first to closure: every state
 * that an alphabet of inputs can reach, with the profile's times set to a few ticks and the weight
 * replaced by its few classes. Times are told from now (every absolute time ends in `At`), and an age
 * beyond every limit counts as one age.
 */
import { createHash } from 'node:crypto';
import { severity } from '../../src/core/faults/table.ts';
import type * as Core from '../../src/core/step.ts';
import type { Config, Scale, State } from '../../src/core/step.ts';
import type { Times } from '../../src/core/times.ts';
import type { Input } from '../../src/core/trace.ts';
import type { WeighingResult } from '../../src/core/weighing/result.ts';
import { initialWatch, watch, type Watch, type Watched } from './rules.ts';

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

export interface Alphabet {
  name: string;
  happenings: Happening[];
  /** Contacts that are on from the first step. */
  on: string[];
}

interface Node {
  core: Omit<State, 'weighing'>;
  watch: Watch;
  weight: Weight;
  enteredAt: number | null;
}

export interface Explored {
  states: number;
  edges: number;
  seconds: number;
  /** Each distinct breach with the shortest way to it. */
  breaches: { text: string; way: string[] }[];
  /** False when the limit of states was reached first. */
  closed: boolean;
}

/** An age beyond this equals any other: more than every limit in `SHORT` and the profile. */
const OLDEST_MS = 100;
const TICK = 20;

export const SHORT: Times = {
  sampleLifeMs: 20,
  chatterMs: 0,
  tickGapMs: 40,
  firstSamplesMs: 0,
  railSlackMs: 20,
  holdLifeMs: 60,
  holdLongestMs: 80,
  knockMs: 20,
  freshPressMs: 40,
  stuckMs: 80,
  lookMs: 20,
};

/** Ages that nothing compares with a limit, or only in what is shown: whether they are null counts. */
const AGELESS = new Set([
  ...['firstDecidedAt', 'decidedAt', 'weighedAt', 'startedAt', 'sinceAt', 'readyAt'],
  ...['dutyAt', 'acknowledgedAt', 'calledAt', 'goneAt', 'silentAt', 'voltsAt', 'waitsAt'],
]);
/** The greatest limit that this age is compared with. */
const LIMITS: Record<string, number> = {
  levelAt: 0,
  rawAt: 20,
  movedAt: 20,
  strokeBeganAt: 20,
  sampledAt: 40,
  tickAt: 60,
  takenBackAt: 20,
  openAt: 20,
  openedAt: 20,
  extendOffAt: 20,
  retractOffAt: 20,
  signAt: 20,
  enteredAt: 20,
  renewedAt: 60,
  beganAt: 80,
  warningAt: 20,
  madeAt: 20,
};
/** Names and counts that decide nothing; they would make every animal a new state. */
const NAMELESS: Record<string, unknown> = {
  number: 1,
  nextAnimal: 2,
  counts: {},
  unread: { inRow: 0, offered: false },
  reason: '',
  detail: '',
  crossing: 'is there',
  decisionKg: null,
  goodKg: null,
  goodU95Kg: null,
  changesAt: [],
  dutyUsedMs: 0,
  waits: [],
  modeAt: 0,
  flags: [],
  oddities: [],
  kg: null,
  u95Kg: null,
};

export function explore(
  core: Pick<typeof Core, 'initial' | 'stepWith'>,
  config: Config,
  alphabet: Alphabet,
  limits: { states: number; stopAtBreach: boolean },
): Explored {
  const began = process.hrtime.bigint();
  const watched: Watched = {
    gate: config.gate,
    inputs: config.inputs,
    debounceMs: config.crate.debounceMs,
    keepAliveProved: config.keepAliveProved,
    battery: false,
    times: SHORT,
  };
  const run = new Run(core, config, watched);
  const first = run.begin(alphabet.on);
  const seen = new Set<string>([key(first)]);
  const parents: { from: number; by: number }[] = [{ from: -1, by: -1 }];
  let frontier: { node: Node; id: number }[] = [{ node: first, id: 0 }];
  const breaches = new Map<string, string[]>();
  let edges = 0;
  let closed = true;
  while (frontier.length > 0 && closed) {
    const next: { node: Node; id: number }[] = [];
    for (const { node, id } of frontier) {
      for (const [by, happening] of alphabet.happenings.entries()) {
        const after = run.take(node, happening);
        edges += 1;
        for (const text of after.breaches) {
          if (!breaches.has(text)) breaches.set(text, way(alphabet, parents, id, by));
        }
        const hash = key(after.node);
        if (seen.has(hash)) continue;
        seen.add(hash);
        parents.push({ from: id, by });
        next.push({ node: after.node, id: parents.length - 1 });
      }
      if (limits.stopAtBreach && breaches.size > 0) closed = false;
      if (seen.size >= limits.states) closed = false;
      if (!closed) break;
    }
    frontier = next;
  }
  const seconds = Number(process.hrtime.bigint() - began) / 1e9;
  const found = [...breaches].map(([text, steps]) => ({ text, way: steps }));
  return { states: seen.size, edges, seconds, breaches: found, closed };
}

function way(
  alphabet: Alphabet,
  parents: { from: number; by: number }[],
  id: number,
  by: number,
): string[] {
  const steps = [by];
  for (let i = id; i > 0; i = parents[i]?.from ?? 0) steps.unshift(parents[i]?.by ?? -1);
  return steps.map((step) => {
    const happening = alphabet.happenings[step];
    return happening === undefined ? '' : nameOf(happening);
  });
}

export function nameOf(happening: Happening): string {
  switch (happening.what) {
    case 'weight':
      return `weight ${happening.weight}`;
    case 'toggle':
      return happening.input;
    case 'input':
      return JSON.stringify(happening.give(BETWEEN));
    case 'several':
      return happening.all.map(nameOf).join(' + ');
    default:
      return happening.what;
  }
}

interface Taken {
  node: Node;
  breaches: string[];
  outputs: Record<string, boolean>;
}

/** The core and its watcher, taken one happening on. */
export class Run {
  readonly #core: Pick<typeof Core, 'initial' | 'stepWith'>;
  readonly #config: Config;
  readonly #watched: Watched;

  constructor(core: Pick<typeof Core, 'initial' | 'stepWith'>, config: Config, watched: Watched) {
    this.#core = core;
    this.#config = config;
    this.#watched = watched;
  }

  begin(on: string[]): Node {
    const { contacts, cycle, interlock, faults, gate } = this.#core.initial(this.#config);
    const core = { contacts, cycle, interlock, faults, gate };
    let node: Node = {
      core,
      watch: initialWatch(this.#watched, 0),
      weight: 'empty',
      enteredAt: null,
    };
    for (const input of on) node = this.#step(node, { t: 0, input, on: true }).node;
    node = canonical(node, 0);
    // So long after power-up that every dead time and age is over.
    for (let i = 0; i < 8; i += 1) node = this.take(node, { what: 'tick' }).node;
    return node;
  }

  take(node: Node, happening: Happening): Taken {
    const parts = happening.what === 'several' ? happening.all : [happening];
    const taken: Taken = { node, breaches: [], outputs: {} };
    for (const part of parts) {
      const input = inputOf(taken.node, part);
      if (input !== null) this.#add(taken, part, input);
    }
    const late = parts.some((part) => part.what === 'late');
    const tick: Input = { t: late ? 4 * TICK : TICK, tick: true };
    this.#add(taken, { what: 'tick' }, tick);
    return { ...taken, node: canonical(taken.node, tick.t) };
  }

  #add(taken: Taken, part: Happening, input: Input): void {
    const { node } = taken;
    const weight = part.what === 'weight' ? part.weight : node.weight;
    const loaded = weight === 'moving' || typeof weight === 'number';
    const enteredAt = loaded ? (node.enteredAt ?? input.t) : null;
    const after = this.#step({ ...node, weight, enteredAt }, input);
    taken.node = after.node;
    taken.outputs = after.outputs;
    taken.breaches.push(...after.breaches);
  }

  #step(node: Node, input: Input): Taken {
    const weighed = weighedAs(node);
    const scale: Scale = { weigh: () => weighed, ask: () => weighed };
    const stepped = this.#core.stepWith(this.#config, revived(node.core), input, scale, SHORT);
    const { fresh, occupancy } = weighed;
    const { outputs } = stepped;
    const seen = { t: input.t, input, outputs, scale: { fresh, occupancy } };
    const { next, breaches } = watch(this.#watched, node.watch, seen);
    return { node: { ...node, core: stepped.state, watch: next }, breaches, outputs };
  }
}

/** Halfway between two ticks, so that a debounce of one tick takes one. */
const BETWEEN = TICK / 2;

function inputOf(node: Node, happening: Happening): Input | null {
  switch (happening.what) {
    case 'late':
      return { t: 3 * TICK, late: 2 * TICK };
    case 'weight':
      return { t: BETWEEN, kg: 1 };
    case 'toggle': {
      const on = node.watch.contacts[happening.input]?.on !== true;
      return { t: BETWEEN, input: happening.input, on };
    }
    case 'input':
      return happening.give(BETWEEN);
    default:
      return null;
  }
}

function weighedAs({ weight, enteredAt }: Node): WeighingResult {
  const loaded = weight === 'moving' || typeof weight === 'number';
  return {
    reading: null,
    fresh: weight !== 'none',
    zeroKnown: true,
    occupancy: weight === 'empty' ? 'empty' : loaded ? 'loaded' : 'unknown',
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

const STUB = { flags: [] } as unknown as NonNullable<
  NonNullable<State['cycle']['animal']>['crossing']
>;

/** The stub that stands for a crossing becomes an object again. */
function revived(core: Omit<State, 'weighing'>): Omit<State, 'weighing'> {
  const { animal } = core.cycle;
  if (animal === null || animal.crossing === null) return core;
  return { ...core, cycle: { ...core.cycle, animal: { ...animal, crossing: STUB } } };
}

function canonical(node: Node, t: number): Node {
  return told(node, '', t) as Node;
}

function told(value: unknown, name: string, t: number): unknown {
  if (name === 'opening' && value !== null) return openingOf(value as { openAt: number }, t);
  if (name === 'active') return faultsOf(value as State['faults']['active']);
  if (name in NAMELESS && value !== null) return NAMELESS[name];
  if (typeof value === 'number' && name.endsWith('At')) return ageOf(name, value - t);
  if (Array.isArray(value)) return value.map((one) => told(one, '', t));
  if (value === null || typeof value !== 'object') return value;
  const copy: Record<string, unknown> = {};
  if ('changedAt' in value && 'on' in value) {
    const { on, changedAt } = value as { on: boolean; changedAt: number };
    return { ...value, changedAt: Math.max(changedAt - t, on ? -80 : -20) };
  }
  for (const [k, v] of Object.entries(value)) copy[k] = told(v, k, t);
  return copy;
}

/** How things stood when the front opened only goes into the record. */
function openingOf({ openAt }: { openAt: number }, t: number): unknown {
  return {
    openAt: ageOf('openAt', openAt - t),
    kg: null,
    u95Kg: null,
    exit: null,
    moving: false,
    oddities: [],
  };
}

/** Which fault came first is only told, and of those that trip nothing only one holds an animal. */
function faultsOf(active: State['faults']['active']): unknown {
  const kept = active.filter(
    ({ fault }) => severity(fault) === 'trip' || fault === 'records-not-saved',
  );
  const plain = kept.map((a) => ({ ...a, sinceAt: -100, detail: '' }));
  return plain.sort((a, b) => (a.fault < b.fault ? -1 : 1));
}

function ageOf(name: string, at: number): number {
  if (AGELESS.has(name)) return -OLDEST_MS;
  return Math.max(at, -(LIMITS[name] ?? OLDEST_MS));
}

function key(node: Node): string {
  return createHash('sha1').update(JSON.stringify(node)).digest('base64');
}
