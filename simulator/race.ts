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

export interface Race {
  gate: SimulatedGate;
  /** Moves everything on to time t; gives what the operator says in that time. */
  advance(t: number, levels: Readonly<Record<string, boolean>>): Command[];
  /** Force on the platform at time t, as weight in kg. */
  forceKg(t: number): number;
  /** Levels of the contacts that the race has. */
  inputs(): Record<string, boolean>;
  passed: Passed[];
  /** Lambs that have not stepped on yet. */
  waiting(): number;
  /** True weight of the lamb that stepped on last, kg. */
  trueKg(): number;
}

/** A lamp that stays dark this long has been taken back: longer than any pause in its patterns. */
const DARK_MS = 650;
/** A held lamb is named by hand after this long without a signal, ms. */
const PATIENCE_MS = 12_000;

/** Creates a race with nothing on the crate and the front shut. */
export function createRace(random: Random, options: RaceOptions): Race {
  const gate = createSimulatedGate(options.gate);
  const passed: Passed[] = [];
  let left = options.animals;
  let now = 0;
  let phase: Phase = { kind: 'gap', until: 3000 };
  let animal: Animal = nextAnimal(random, options, 0);
  let wokeUp: number | null = null;

  const stepOn = (t: number): void => {
    if (left === 0) return;
    left -= 1;
    animal = nextAnimal(random, options, left + 1);
    phase = { kind: 'on', since: t, signalSince: null, lampSeen: t, askedAt: null };
  };
  const watch = (t: number, on: Extract<Phase, { kind: 'on' }>, lamp: boolean): Command[] => {
    if (lamp) {
      on.signalSince ??= t + random.between(250, 800);
      on.lampSeen = t;
    } else if (t - on.lampSeen > DARK_MS) on.signalSince = null;
    if (on.signalSince !== null && t >= on.signalSince) {
      phase = { kind: 'leaving', since: t + random.between(150, 900), opened: t };
      return [];
    }
    if (on.signalSince === null && t - on.since > PATIENCE_MS && on.askedAt === null) {
      on.askedAt = t;
      return [{ do: 'exit', exit: options.exitFor(animal.trueKg) }];
    }
    return [];
  };
  const follow = (t: number, leaving: Extract<Phase, { kind: 'leaving' }>, on: number): void => {
    if (t - leaving.since < animal.goneMs) return;
    passed.push({
      trueKg: animal.trueKg,
      enteredAt: on,
      fullyOnAt: on + animal.fullyOnMs,
      letGoAt: leaving.opened,
      leftAt: t,
      exit: gate.open(),
    });
    phase = { kind: 'shutting', until: t + random.between(500, 1100), broke: t };
  };
  let enteredAt = 0;
  return {
    gate,
    passed,
    waiting: () => left,
    trueKg: () => animal.trueKg,
    advance: (t, levels) => {
      gate.advance(t, levels, true);
      now = t;
      // Whoever starts the race resets the drop-out relay, as soon as the keep-alive is fed.
      if (levels['keepAlive'] !== true) wokeUp = null;
      else {
        wokeUp ??= t;
        if (!gate.railLive() && t - wokeUp >= 300) gate.reset();
      }
      if (phase.kind === 'gap' && t >= phase.until && !options.heldBack()) {
        enteredAt = t;
        stepOn(t);
      } else if (phase.kind === 'on') return watch(t, phase, levels['letGoLamp'] === true);
      else if (phase.kind === 'leaving') follow(t, phase, enteredAt);
      else if (phase.kind === 'shutting' && t >= phase.until) {
        phase = { kind: 'gap', until: t + random.between(900, 2600) };
      }
      return [];
    },
    forceKg: (t) => {
      if (phase.kind === 'on') return animal.loadKg(t - phase.since);
      if (phase.kind !== 'leaving') return 0;
      const load = animal.loadKg(t - enteredAt);
      return load * animal.leavingKg(Math.max(0, t - phase.since));
    },
    inputs: () => {
      const beam = phase.kind === 'shutting' && now >= phase.broke && now < phase.broke + 350;
      return {
        frontShut: phase.kind === 'gap' || phase.kind === 'on',
        stopLoop: true,
        actuatorPower: gate.railLive(),
        laneClear: !beam,
        ...gate.switches(),
      };
    },
  };
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
