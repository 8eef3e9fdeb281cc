/**
 * What the service itself sees at a fitting: inputs, strokes, the stop in motion, the rail. Fed at
 * every step with the machine's own monotonic ms; holds no clock.
 */
import type { Direction } from '../core/interlock/gate.ts';
import { TICK_MS } from '../core/trace.ts';

/** What one step of the loop showed. */
export interface Seen {
  /** Monotonic ms that never begin anew. */
  nowMs: number;
  inputs: Readonly<Record<string, { raw: boolean; level: boolean }>>;
  outputs: Readonly<Record<string, boolean>>;
  volts: number | null;
  /** When a finger last renewed a hold-to-run press; null where none does. */
  renewedMs: number | null;
  /** A reading of the weigh head that came with this step, kg; undefined where none did. */
  kg?: number | null;
}

export interface InputSeen {
  on: boolean;
  level: boolean;
  changedMs: number | null;
  changes: number;
}

/** One time that a leaf's output was on. */
export interface StrokeSeen {
  leaf: string;
  direction: Direction;
  /** Until its end switch made where it has one, else until the finger last renewed it, ms. */
  ms: number;
  /** Its end switch made. */
  made: boolean;
  /** It began at the other end, as far as switches tell; null without them. */
  whole: boolean | null;
  /** Lowest voltage while it was on; null where none is read. */
  leastVolts: number | null;
  number: number;
}

/** The stop loop opened while a leaf was driven. */
export interface StopSeen {
  leaf: string;
  atMs: number;
  /** Until its output was off, ms. */
  offMs: number | null;
  resetMs: number | null;
  /** A leaf was driven within the time after the reset in which none may. */
  movedAgain: boolean;
}

/** After a reset nothing may move for so long, ms. */
export const STILL_MS = 5000;
const SECONDS = 5;
/** A stop that killed the rail shows on its own input by now, ms: two ticks. */
const LOOP_SEEN_MS = 2 * TICK_MS;

function lower(one: number | null, other: number | null): number | null {
  return one === null || other === null ? (one ?? other) : Math.min(one, other);
}

interface Driven {
  leaf: string;
  direction: Direction;
  beganMs: number;
  madeMs: number | null;
  renewedMs: number | null;
  whole: boolean | null;
  leastVolts: number | null;
}

export interface Watch {
  see(seen: Seen): void;
  readonly inputs: Readonly<Record<string, InputSeen>>;
  /** Which way each leaf was driven last. */
  readonly last: Readonly<Record<string, StrokeSeen>>;
  readonly stop: StopSeen | null;
  /** How long the rail stayed live after the keep-alive fell silent, ms; null: not seen yet. */
  readonly railMs: number | null;
  readonly moving: string[];
  readonly volts: number | null;
  /** Lowest voltage while a leaf was driven since this was last asked for anew. */
  readonly leastVolts: number | null;
  readonly kg: number | null;
  /** Readings a second over the last seconds. */
  perSecond(nowMs: number): number;
  /** Stop, rail and lowest voltage are looked for anew. */
  forget(): void;
}

export function createWatch(leaves: { name: string; endSwitches: boolean }[]): Watch {
  return new Watching(leaves);
}

class Watching implements Watch {
  inputs: Record<string, InputSeen> = {};
  last: Record<string, StrokeSeen> = {};
  stop: StopSeen | null = null;
  railMs: number | null = null;
  moving: string[] = [];
  volts: number | null = null;
  leastVolts: number | null = null;
  kg: number | null = null;
  readonly #leaves: { name: string; endSwitches: boolean }[];
  #driven = new Map<string, Driven>();
  #strokes = 0;
  #readingsMs: number[] = [];
  #fed = false;
  #silentMs: number | null = null;
  #deadMs: number | null = null;

  constructor(leaves: { name: string; endSwitches: boolean }[]) {
    this.#leaves = leaves;
  }

  see(seen: Seen): void {
    const before = this.inputs;
    const wasMoving = this.moving;
    this.#seeInputs(seen);
    this.moving = Object.keys(seen.outputs).filter(
      (name) => seen.outputs[name] === true && /\.(extend|retract)$/.test(name),
    );
    for (const name of new Set([...wasMoving, ...this.moving])) this.#seeStroke(name, seen);
    this.#seeStop(before, wasMoving, seen);
    this.#seeRail(seen);
    this.volts = seen.volts;
    if (this.moving.length > 0) this.leastVolts = lower(this.leastVolts, seen.volts);
    if (seen.kg === undefined) return;
    this.kg = seen.kg;
    this.#readingsMs = [...this.#readingsMs.slice(-400), seen.nowMs];
  }

  perSecond(nowMs: number): number {
    const since = nowMs - SECONDS * 1000;
    return this.#readingsMs.filter((ms) => ms > since).length / SECONDS;
  }

  forget(): void {
    this.stop = null;
    this.railMs = null;
    this.leastVolts = null;
  }

  #seeInputs({ inputs, nowMs }: Seen): void {
    const next: Record<string, InputSeen> = {};
    for (const [name, { raw, level }] of Object.entries(inputs)) {
      const old = this.inputs[name];
      const changed = old !== undefined && old.on !== raw;
      next[name] = {
        on: raw,
        level,
        changedMs: changed ? nowMs : (old?.changedMs ?? null),
        changes: (old?.changes ?? 0) + (changed ? 1 : 0),
      };
    }
    this.inputs = next;
  }

  #seeStroke(name: string, { nowMs, outputs, inputs, renewedMs, volts }: Seen): void {
    const [leaf = '', direction] = name.split('.') as [string?, Direction?];
    if (direction === undefined) return;
    const far = inputs[`${leaf}.${direction}ed`]?.raw === true;
    const switches = this.#leaves.some((one) => one.name === leaf && one.endSwitches);
    const driven = this.#driven.get(name);
    if (outputs[name] === true) {
      if (driven === undefined) {
        const near = inputs[`${leaf}.${direction === 'extend' ? 'retracted' : 'extended'}`]?.raw;
        const whole = switches ? near === true : null;
        const none = { madeMs: null, renewedMs: null, leastVolts: volts };
        this.#driven.set(name, { leaf, direction, beganMs: nowMs, whole, ...none });
        return;
      }
      if (switches && far) driven.madeMs ??= nowMs;
      driven.renewedMs = renewedMs;
      driven.leastVolts = lower(driven.leastVolts, volts);
      return;
    }
    if (driven === undefined) return;
    this.#driven.delete(name);
    const made = driven.madeMs !== null || (switches && far);
    this.#strokes += 1;
    const ms = (driven.madeMs ?? driven.renewedMs ?? nowMs) - driven.beganMs;
    const { whole, leastVolts } = driven;
    this.last[leaf] = { leaf, direction, ms, made, whole, leastVolts, number: this.#strokes };
  }

  #seeStop(before: Record<string, InputSeen>, wasMoving: string[], seen: Seen): void {
    const on = seen.inputs['stopLoop']?.raw;
    if (on === undefined) return;
    const { nowMs } = seen;
    const driven = wasMoving[0];
    if (!on && before['stopLoop']?.on === true && driven !== undefined) {
      const leaf = driven.split('.')[0] ?? driven;
      this.stop = { leaf, atMs: nowMs, offMs: null, resetMs: null, movedAgain: false };
    }
    const { stop } = this;
    if (stop === null) return;
    if (this.moving.length === 0) stop.offMs ??= nowMs - stop.atMs;
    if (on && stop.resetMs === null) stop.resetMs = nowMs;
    const soon = stop.resetMs !== null && nowMs - stop.resetMs < STILL_MS;
    if (soon && this.moving.length > 0) stop.movedAgain = true;
  }

  /** The stop's own contact kills the rail too: with its loop open nothing is learnt of the drop-out relay. */
  #seeRail({ inputs, outputs, nowMs }: Seen): void {
    const live = inputs['actuatorPower']?.raw;
    if (live === undefined) return;
    const fed = outputs['keepAlive'] === true;
    const opened = inputs['stopLoop']?.raw === false;
    if (this.#fed && !fed && live) this.#silentMs = nowMs;
    this.#fed = fed;
    if (fed || opened) this.#silentMs = this.#deadMs = null;
    if (this.#silentMs === null) return;
    if (!live) this.#deadMs ??= nowMs;
    if (this.#deadMs === null || nowMs - this.#deadMs < LOOP_SEEN_MS) return;
    this.railMs = this.#deadMs - this.#silentMs;
    this.#silentMs = this.#deadMs = null;
  }
}
