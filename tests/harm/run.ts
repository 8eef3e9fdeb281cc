/**
 * One run of the harm campaign: the real `step` drives the simulated yard, one single fault comes at
 * a moment that the seed says, and every actuator that has current while a body is within its sweep
 * is harm.
 */
import { SWEEP_MM, type Beams } from '../../simulator/bodies.ts';
import { STEP_MS } from '../../simulator/circuit.ts';
import type { Seen } from '../../simulator/operator.ts';
import { createRandom, type Random } from '../../simulator/random.ts';
import { Yard } from '../../simulator/yard.ts';
import { initial, step, type Config, type State } from '../../src/core/step.ts';
import { TICK_MS, type Input } from '../../src/core/trace.ts';
import { motionOutputs } from '../../src/config/inputs.ts';
import { readLevel, stallMs } from './faults.ts';
import { harmSite, type HarmSite } from './site.ts';
import { Witness, type Outcome } from './witness.ts';

export interface RunOptions {
  gate: string;
  seed: number;
  animals: number;
  fault: string | null;
  beams: Beams;
  unseen?: 'reaching' | 'jumping' | null;
  /** Leave out ticks in which nothing happens: for many animals in little time. */
  sparse?: boolean;
  /** Told of everything that happens, for looking at one run. */
  say?: (t: number, text: string) => void;
}

/** The fault comes once this many animals have stepped on, */
const ANIMALS_BEFORE = 3;
/** and the run goes on for so long after it. */
const AFTER_MS = 45_000;
/** A whole animal and a whole stroke: the fault comes at any time of one or the other. */
const ANIMAL_MS = 7000;
const STROKE_MS = 1300;
/** The kernel keeps this many readings for a program that stands still. */
const KEPT_READINGS = 200;
const READING_MS = 100;
const SPARSE_MS = 80;

class Run {
  readonly #options: RunOptions;
  readonly #config: Config;
  readonly #yard: Yard;
  readonly #random: Random;
  readonly #witness: Witness;
  #state: State;
  #levels: Record<string, boolean> = {};
  #shown: Record<string, boolean> = {};
  #edge = false;
  #anchorAt: number | null = null;
  #injectedAt: number | null = null;
  /** What is broken now, for the circuit. */
  #broken: ReadonlySet<string> = new Set();
  #tickedAt = 0;
  #frozenKg = 0;
  #waiting: Input[] = [];
  /** Inputs given so far. */
  #given = 0;
  readonly #outputs: string[];

  constructor(options: RunOptions, site: HarmSite) {
    this.#options = options;
    this.#config = site.config;
    this.#random = createRandom(options.seed);
    this.#outputs = motionOutputs(site.config.gate);
    const { gate } = site.config;
    const { animals, beams, unseen = null } = options;
    const { walkThrough, exitFor } = site;
    this.#yard = new Yard(this.#random.branch(1), {
      ...{ gate, animals, beams, unseen, walkThrough, exitFor },
    });
    this.#witness = new Witness(gate, this.#yard, SWEEP_MM, options.say ?? null);
    this.#state = initial(site.config);
  }

  run(): Outcome {
    const { animals, fault } = this.#options;
    const limit = 60_000 + animals * 40_000;
    let t = TICK_MS;
    for (; t < limit && !this.#yard.over(); t += TICK_MS) {
      if (this.#injectedAt !== null && t > this.#injectedAt + AFTER_MS) break;
      this.#world(t);
      const stall = this.#inject(t) ? stallMs(fault) : 0;
      if (stall > 0) t = this.#stand(t, stall);
      else this.#tick(t);
    }
    return this.#witness.outcome(t, this.#injectedAt);
  }

  /** The yard goes on by one tick. */
  #world(t: number): void {
    const broken = this.#broken;
    const seen = this.#seen();
    for (let at = t - TICK_MS + STEP_MS; at <= t; at += STEP_MS) {
      this.#yard.advance(at, seen, this.#edge, broken);
      this.#edge = false;
      this.#witness.look(at, this.#levels);
    }
    if (t % READING_MS === 0) this.#weigh(t);
  }

  #seen(): Seen {
    const { cycle, gate, faults } = this.#state;
    const called = (cycle.animal?.calledAt ?? null) !== null;
    const overdue = faults.active.some((f) => f.fault === 'position-unproved');
    return {
      levels: this.#levels,
      mode: cycle.mode,
      asksForLook: gate.laneNeedsConfirm || called || overdue,
      asksForEmptyCrate: gate.waits.includes('crate'),
      asksForHoming: called && gate.waits.includes('position'),
    };
  }

  #weigh(t: number): void {
    const { fault } = this.#options;
    if (this.#injectedAt !== null && fault === 'silent scale') return;
    const force = this.#yard.forceKg(t);
    const noise = force > 5 ? 0.05 * this.#random.normal() : 0;
    const kg = Math.round((force + noise) * 10) / 10;
    if (this.#injectedAt === null) this.#frozenKg = kg;
    this.#waiting.push({ t, kg: fault === 'frozen scale' ? this.#frozenKg : kg });
  }

  /** True in the tick in which the fault comes. */
  #inject(t: number): boolean {
    const { fault, seed } = this.#options;
    if (fault === null || this.#injectedAt !== null) return false;
    if (this.#anchorAt === null && this.#yard.begun() >= ANIMALS_BEFORE) {
      if (seed % 2 === 0 || this.#driven()) this.#anchorAt = t;
    }
    const span = seed % 2 === 0 ? ANIMAL_MS : STROKE_MS;
    const share = (seed * 0.6180339887) % 1;
    if (this.#anchorAt === null || t < this.#anchorAt + share * span) return false;
    this.#injectedAt = t;
    this.#broken = new Set([fault]);
    this.#witness.injected(t, fault, this.#state.cycle.mode);
    return true;
  }

  /** The program stands still; the world does not. Then what a loop does that comes late. */
  #stand(from: number, ms: number): number {
    this.#witness.standing = true;
    let t = from;
    for (; t + TICK_MS <= from + ms;) {
      t += TICK_MS;
      this.#world(t);
    }
    this.#witness.standing = false;
    this.#give({ t, late: t - from });
    this.#hear(t);
    return t;
  }

  /**
   * With `sparse` a tick in which nothing happens and nothing moves is left out, as long as the program
   * has ticked within 80 ms: a loop that is slower than the real one.
   */
  #tick(t: number): void {
    const before = this.#given;
    this.#hear(t);
    for (const command of this.#yard.attend(t, this.#seen())) this.#give({ t, command });
    this.#read(t);
    const quiet = before === this.#given && t - this.#tickedAt < SPARSE_MS;
    if (this.#options.sparse === true && quiet && !this.#driven()) return;
    this.#tickedAt = t;
    this.#give({ t, tick: true });
    this.#edge = this.#levels['keepAlive'] === true;
  }

  /** A motion output is on. */
  #driven(): boolean {
    return this.#outputs.some((name) => this.#levels[name] === true);
  }

  /** What came over the line since the last tick, the newest readings if they are too many. */
  #hear(t: number): void {
    for (const input of this.#waiting.slice(-KEPT_READINGS)) this.#give({ ...input, t });
    this.#waiting = [];
  }

  #read(t: number): void {
    const { fault } = this.#options;
    const truth = this.#yard.contacts();
    const now = this.#injectedAt === null ? null : fault;
    for (const name of this.#config.inputs) {
      let on = readLevel(now, name, truth[name] ?? false, () => this.#random.chance(0.5));
      // A pulse that is over before the tick reads as open once.
      if (now === 'pulse stopLoop' && name === 'stopLoop' && t === this.#injectedAt) on = false;
      if ((this.#shown[name] ?? false) !== on) this.#give({ t, input: name, on });
      this.#shown[name] = on;
    }
  }

  #give(input: Input): void {
    this.#given += 1;
    const stepped = step(this.#config, this.#state, input);
    this.#state = stepped.state;
    this.#levels = stepped.outputs;
    for (const event of stepped.events) this.#witness.heard(input.t, event);
  }
}

const sites = new Map<string, HarmSite>();

/** Runs one seed to its end. */
export function runHarm(options: RunOptions): Outcome {
  const key = `${options.gate} ${options.beams}`;
  const site = sites.get(key) ?? harmSite(options.gate, options.beams);
  sites.set(key, site);
  return new Run(options, site).run();
}
