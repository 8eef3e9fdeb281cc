/** Sees what is really there: current, bodies, motion that nobody ordered, and what was named when. */
import type { Body } from '../../simulator/bodies.ts';
import { STEP_MS } from '../../simulator/circuit.ts';
import type { Yard } from '../../simulator/yard.ts';
import type { GateConfig } from '../../src/core/interlock/gate.ts';
import type { Event } from '../../src/core/trace.ts';

/** One actuator with current while somebody was within its sweep. */
export interface Harm {
  t: number;
  leaf: string;
  who: 'animal' | 'person';
  ms: number;
  /** The free edge's way in that time. */
  mm: number;
  /** After the fault had been named, and cleared by somebody who mended nothing. */
  afterNamed: boolean;
}

interface Motion {
  ms: number;
  mm: number;
}

export interface Outcome {
  animals: number;
  simulatedMs: number;
  injectedAt: number | null;
  harms: Harm[];
  /** The first fault that nothing but the injected one explains. */
  named: { fault: string; afterMs: number; animals: number } | null;
  /** Current that a living program did not order, until the fault was named and after. */
  unordered: { before: Motion; after: Motion };
  /** Animals that went out by another exit than the program's row says. */
  astray: number;
}

/** A relay may stay closed this long after its output went off. */
const RELEASE_MS = 20;
/** What the yard did itself stays the explanation this long. */
const EXPLAINED_MS = 1500;

export class Witness {
  /** The program stands still. */
  standing = false;
  readonly #gate: GateConfig;
  readonly #yard: Yard;
  readonly #sweepMm: number;
  readonly #say: ((t: number, text: string) => void) | null;
  readonly #harms: Harm[] = [];
  #open = new Map<string, Harm>();
  #offFor: Record<string, number> = {};
  #injectedAt: number | null = null;
  #goneBefore = 0;
  #named: Outcome['named'] = null;
  #before: Motion = { ms: 0, mm: 0 };
  #after: Motion = { ms: 0, mm: 0 };
  #stopAt = -60_000;
  #laneAt = -60_000;
  #frontAt = -60_000;
  readonly #rows: { exit: string | null; body: Body | null }[] = [];

  constructor(
    gate: GateConfig,
    yard: Yard,
    sweepMm: number,
    say: ((t: number, text: string) => void) | null,
  ) {
    this.#gate = gate;
    this.#yard = yard;
    this.#sweepMm = sweepMm;
    this.#say = say;
  }

  injected(t: number, fault: string, mode: string): void {
    this.#injectedAt = t;
    this.#goneBefore = this.#yard.gone;
    this.#say?.(t, `FAULT ${fault} (${mode})`);
  }

  /** Looks at circuit and bodies after a step. */
  look(t: number, levels: Readonly<Record<string, boolean>>): void {
    if (this.#yard.stopPressed) this.#stopAt = t;
    if (this.#yard.frontOpen()) this.#frontAt = t;
    if (this.#yard.lane.bodies.length > 0) this.#laneAt = t;
    const currents = this.#yard.circuit.currents();
    if (currents.length === 0) this.#open.clear();
    if (currents.length === 0 && this.#injectedAt === null) return;
    for (const { name } of this.#gate.leaves) {
      for (const direction of ['extend', 'retract']) {
        const output = `${name}.${direction}`;
        const off = levels[output] !== true;
        this.#offFor[output] = off ? (this.#offFor[output] ?? 0) + STEP_MS : 0;
      }
    }
    for (const current of currents) {
      const mm = current.moved * this.#sweepMm;
      this.#bodies(t, current.leaf, mm);
      const offFor = this.#offFor[`${current.leaf}.${current.direction}`] ?? 0;
      if (this.#injectedAt === null || (!this.standing && offFor <= RELEASE_MS)) continue;
      const sum = this.#named === null ? this.#before : this.#after;
      if (mm > 0) sum.ms += STEP_MS;
      sum.mm += mm;
    }
    const still = (key: string): boolean => currents.some((c) => key.startsWith(`${c.leaf} `));
    for (const key of this.#open.keys()) if (!still(key)) this.#open.delete(key);
  }

  #bodies(t: number, leaf: string, mm: number): void {
    const place = this.#gate.leaves.findIndex((one) => one.name === leaf);
    for (const body of this.#yard.lane.within(place)) {
      const key = `${leaf} ${this.#yard.lane.bodies.indexOf(body)}`;
      let harm = this.#open.get(key);
      if (harm === undefined) {
        const afterNamed = this.#named !== null;
        harm = { t, leaf, who: body.who, ms: 0, mm: 0, afterNamed };
        this.#open.set(key, harm);
        this.#harms.push(harm);
        const head = Math.round(body.headMm);
        this.#say?.(t, `HARM ${leaf} has current, ${body.who} in its sweep (head at ${head} mm)`);
      }
      harm.ms += STEP_MS;
      harm.mm += mm;
    }
  }

  heard(t: number, event: Event): void {
    this.#say?.(t, JSON.stringify(event));
    if (event.kind === 'let-go') {
      this.#rows.push({ exit: event.crossing.exit, body: this.#yard.lastOut() });
    }
    if (event.kind !== 'fault' || !event.on || this.#injectedAt === null) return;
    if (this.#named !== null || this.#explained(t, event.fault)) return;
    const animals = this.#yard.gone - this.#goneBefore;
    this.#named = { fault: event.fault, afterMs: t - this.#injectedAt, animals };
  }

  /** The yard itself gave cause for this fault. */
  #explained(t: number, fault: string): boolean {
    const lately = (at: number): boolean => t - at <= EXPLAINED_MS;
    if (fault === 'stop-pressed' || fault === 'rail-dead') return lately(this.#stopAt);
    if (fault === 'lane-entered') return lately(this.#laneAt);
    if (fault === 'let-out-early') return lately(this.#frontAt);
    return fault === 'held-long' || fault === 'duty-spent' || fault === 'position-unproved';
  }

  outcome(t: number, injectedAt: number | null): Outcome {
    const astray = this.#rows.filter(({ exit, body }) => {
      const turned = body?.turned ?? null;
      return exit !== null && turned !== null && exit !== this.#yard.lane.exitOf(turned);
    }).length;
    return {
      animals: this.#yard.gone,
      simulatedMs: t,
      injectedAt,
      harms: this.#harms,
      named: this.#named,
      unordered: { before: this.#before, after: this.#after },
      astray,
    };
  }
}
