/**
 * The simulated race: lively lambs of a seed, the operator at the front of the crate, the gate and
 * its contacts. It is driven by the outputs that the real program writes. All figures are invented.
 */
import type { GateConfig } from '../src/core/interlock/gate.ts';
import type { Command } from '../src/core/trace.ts';
import { createAnimal, type Animal, type Scenario } from './animal.ts';
import { createSimulatedGate, type SimulatedGate } from './gate.ts';
import type { Random } from './random.ts';

export interface RaceOptions {
  gate: GateConfig;
  /** Lambs in the mob; after the last one the race stays empty. */
  animals: number;
  /** Share of lambs that do something out of the ordinary. */
  oddShare: number;
  /** The exit for a true weight, for the lamb that the operator has to name by eye. */
  exitFor: (trueKg: number) => string;
  /** The back gate is kept shut: no lamb steps on while this is true. */
  heldBack: () => boolean;
  meanKg?: number;
  spreadKg?: number;
}

/** What became of one lamb. */
export interface Passed {
  trueKg: number;
  enteredAt: number;
  fullyOnAt: number;
  letGoAt: number;
  leftAt: number;
  /** The exit that stood open when it walked through, or null. */
  exit: string | null;
}

type Phase =
  | { kind: 'gap'; until: number }
  | {
      kind: 'on';
      since: number;
      signalSince: number | null;
      lampSeen: number;
      askedAt: number | null;
    }
  | { kind: 'leaving'; since: number; opened: number }
  | { kind: 'shutting'; until: number; broke: number };

/** A lamp that stays dark this long has been taken back: longer than any pause in its patterns. */
const DARK_MS = 650;
/** A held lamb is named by hand after this long without a signal, ms. */
const PATIENCE_MS = 12_000;

/** A race with nothing on the crate and the front shut. */
export class Race {
  readonly gate: SimulatedGate;
  readonly passed: Passed[] = [];
  readonly #random: Random;
  readonly #options: RaceOptions;
  #left: number;
  #now = 0;
  #phase: Phase = { kind: 'gap', until: 3000 };
  #animal: Animal;
  #enteredAt = 0;
  #fedSince: number | null = null;

  constructor(random: Random, options: RaceOptions) {
    this.gate = createSimulatedGate(options.gate);
    this.#random = random;
    this.#options = options;
    this.#left = options.animals;
    this.#animal = nextAnimal(random, options, 0);
  }

  /** Lambs that have not stepped on yet. */
  waiting(): number {
    return this.#left;
  }

  /** True weight of the lamb that stepped on last, kg. */
  trueKg(): number {
    return this.#animal.trueKg;
  }

  /** Moves everything on to time t; gives what the operator says in that time. */
  advance(t: number, levels: Readonly<Record<string, boolean>>): Command[] {
    this.gate.advance(t, levels, true);
    this.#now = t;
    this.#resetDropOut(t, levels['keepAlive'] === true);
    const phase = this.#phase;
    switch (phase.kind) {
      case 'gap':
        if (t >= phase.until) this.#stepOn(t);
        return [];
      case 'on':
        return this.#watch(t, phase, levels['letGoLamp'] === true);
      case 'leaving':
        if (t - phase.since >= this.#animal.goneMs) this.#leave(t, phase.opened);
        return [];
      case 'shutting':
        if (t >= phase.until) {
          this.#phase = { kind: 'gap', until: t + this.#random.between(900, 2600) };
        }
        return [];
    }
  }

  /** Force on the platform at time t, as weight in kg. */
  forceKg(t: number): number {
    const phase = this.#phase;
    if (phase.kind !== 'on' && phase.kind !== 'leaving') return 0;
    const load = this.#animal.loadKg(t - this.#enteredAt);
    if (phase.kind === 'on') return load;
    return load * this.#animal.leavingKg(Math.max(0, t - phase.since));
  }

  /** Levels of the contacts that the race has. */
  inputs(): Record<string, boolean> {
    const phase = this.#phase;
    const passing = phase.kind === 'shutting' && this.#now < phase.broke + 350;
    return {
      frontShut: phase.kind === 'gap' || phase.kind === 'on',
      stopLoop: true,
      actuatorPower: this.gate.railLive(),
      laneClear: !passing,
      ...this.gate.switches(),
    };
  }

  /** Whoever starts the race resets the drop-out relay, soon after the keep-alive is fed. */
  #resetDropOut(t: number, fed: boolean): void {
    this.#fedSince = fed ? (this.#fedSince ?? t) : null;
    if (this.#fedSince !== null && !this.gate.railLive() && t - this.#fedSince >= 300) {
      this.gate.reset();
    }
  }

  #stepOn(t: number): void {
    if (this.#left === 0 || this.#options.heldBack()) return;
    this.#left -= 1;
    this.#enteredAt = t;
    this.#animal = nextAnimal(this.#random, this.#options, this.#left + 1);
    this.#phase = { kind: 'on', since: t, signalSince: null, lampSeen: t, askedAt: null };
  }

  /** The operator opens the front a moment after the lamp, or names the exit of one held long. */
  #watch(t: number, on: Extract<Phase, { kind: 'on' }>, lamp: boolean): Command[] {
    if (lamp) {
      on.signalSince ??= t + this.#random.between(250, 800);
      on.lampSeen = t;
    } else if (t - on.lampSeen > DARK_MS) on.signalSince = null;
    if (on.signalSince !== null && t >= on.signalSince) {
      this.#phase = { kind: 'leaving', since: t + this.#random.between(150, 900), opened: t };
      return [];
    }
    if (on.signalSince !== null || t - on.since <= PATIENCE_MS || on.askedAt !== null) return [];
    on.askedAt = t;
    return [{ do: 'exit', exit: this.#options.exitFor(this.#animal.trueKg) }];
  }

  #leave(t: number, opened: number): void {
    this.passed.push({
      trueKg: this.#animal.trueKg,
      enteredAt: this.#enteredAt,
      fullyOnAt: this.#enteredAt + this.#animal.fullyOnMs,
      letGoAt: opened,
      leftAt: t,
      exit: this.gate.open(),
    });
    this.#phase = { kind: 'shutting', until: t + this.#random.between(500, 1100), broke: t };
  }
}

function nextAnimal(random: Random, options: RaceOptions, n: number): Animal {
  const own = random.branch(n);
  const odd: Scenario[] = ['front-feet', 'jump'];
  const scenario = own.chance(options.oddShare)
    ? (odd[Math.floor(own.between(0, odd.length))] ?? 'usual')
    : 'usual';
  const weight = (options.meanKg ?? 41) + (options.spreadKg ?? 4) * own.normal();
  const trueKg = Math.min(58, Math.max(20, weight));
  return createAnimal(own, { trueKg, temperament: own.between(0.1, 0.9), scenario });
}
