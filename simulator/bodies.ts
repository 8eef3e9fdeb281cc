/**
 * Where the leaves sweep, where the beams stand, and the bodies that go through, in mm along the way
 * that a body takes: 0 is the crate's front, behind a leaf that turns it the way goes on sideways.
 * All figures are invented.
 */
import type { GateConfig } from '../src/core/interlock/gate.ts';

/** The first leaf begins to sweep this far behind the crate's front. */
const FIRST_MM = 400;
/** Length of the lane that one leaf sweeps; also the way of its free edge in a whole stroke. */
export const SWEEP_MM = 700;
/** From one leaf's sweep to the next. */
const PITCH_MM = 800;
/** A way's last beam stands this far behind the last sweep on it. */
const BEAM_BEHIND_MM = 200;
/** Beams along the lane stand this far apart: less than any animal is long. */
const BEAM_PITCH_MM = 350;

/** Where beams stand: along the whole lane, at the end of each way alone, or nowhere. */
export type Beams = 'along' | 'end' | 'none';

/** One stretch of a body's way. */
export interface Stretch {
  toMm: number;
  /** mm a second. */
  speed: number;
  thenWaitMs: number;
}

export interface Body {
  who: 'animal' | 'person';
  /** Its foremost point. */
  headMm: number;
  lengthMm: number;
  /** Place of the leaf that turned it out of the lane, or the number of leaves for straight on. */
  turned: number | null;
  way: Stretch[];
  waitMs: number;
}

export class Lane {
  readonly #gate: GateConfig;
  readonly #beams: Beams;
  readonly bodies: Body[] = [];

  constructor(gate: GateConfig, beams: Beams) {
    this.#gate = gate;
    this.#beams = beams;
  }

  /** The last place of a way that its body must have left to be outside. */
  outsideMm(turned: number): number {
    return this.#endMm(turned) + BEAM_BEHIND_MM + 100;
  }

  zoneMm(leaf: number): { from: number; to: number } {
    const from = FIRST_MM + PITCH_MM * leaf;
    return { from, to: from + SWEEP_MM };
  }

  /** Moves every body on; those that have left for good are forgotten. */
  advance(ms: number, place: (leaf: string) => number): void {
    for (const body of this.bodies) {
      body.turned ??= this.#turning(body, place);
      walk(body, ms);
    }
    for (let i = this.bodies.length - 1; i >= 0; i -= 1) {
      if (this.bodies[i]?.way.length === 0) this.bodies.splice(i, 1);
    }
  }

  /** A body whose head comes to a leaf that stands across goes sideways there. */
  #turning(body: Body, place: (leaf: string) => number): number | null {
    const { leaves } = this.#gate;
    const at = leaves.findIndex((_leaf, k) => body.headMm < this.zoneMm(k).to);
    const passed = at === -1 ? leaves.length : at;
    if (passed === leaves.length) return passed;
    const across = place(leaves[passed]?.name ?? '') >= 0.5;
    return across && body.headMm >= this.zoneMm(passed).from ? passed : null;
  }

  /** The bodies, or parts of them, that this leaf may hit. */
  within(leaf: number): Body[] {
    const { from, to } = this.zoneMm(leaf);
    return this.bodies.filter(
      (body) =>
        leaf <= (body.turned ?? leaf) && body.headMm > from && body.headMm - body.lengthMm < to,
    );
  }

  /** Nobody between the front and the ends of the ways. */
  empty(): boolean {
    return this.bodies.every(
      (body) =>
        body.headMm <= 0 ||
        body.headMm - body.lengthMm >= this.#endMm(body.turned) + BEAM_BEHIND_MM,
    );
  }

  /** Something stands in the crate's doorway. */
  doorway(): boolean {
    return this.bodies.some((body) => body.headMm > 0 && body.headMm - body.lengthMm < 50);
  }

  /** Levels of the beams: on while clear. */
  clear(): Record<string, boolean> {
    const levels: Record<string, boolean> = {};
    if (this.#beams === 'none') return levels;
    levels['laneClear'] = !this.bodies.some((body) => this.#breaks(body));
    for (const exit of Object.keys(this.#gate.exits)) levels[`laneClear.${exit}`] = true;
    for (const body of this.bodies) {
      if (!over(body, this.#endMm(body.turned) + BEAM_BEHIND_MM)) continue;
      levels[`laneClear.${this.exitOf(body.turned ?? this.#gate.leaves.length)}`] = false;
    }
    return levels;
  }

  #breaks(body: Body): boolean {
    const last = this.#endMm(body.turned) + BEAM_BEHIND_MM;
    if (over(body, last)) return true;
    if (this.#beams === 'end') return false;
    for (let at = 60; at < last; at += BEAM_PITCH_MM) if (over(body, at)) return true;
    return false;
  }

  #endMm(turned: number | null): number {
    const last = this.#gate.leaves.length - 1;
    return this.zoneMm(Math.min(turned ?? last, last)).to;
  }

  /** The exit of a body that turned at this leaf. */
  exitOf(turned: number): string {
    const leaf = this.#gate.leaves[turned]?.name;
    const found = Object.entries(this.#gate.exits).find(([, ends]) =>
      leaf === undefined
        ? Object.values(ends).every((end) => end === 'retracted')
        : ends[leaf] === 'extended',
    );
    return found?.[0] ?? '';
  }
}

const over = (body: Body, at: number): boolean =>
  body.headMm > at && body.headMm - body.lengthMm < at;

function walk(body: Body, ms: number): void {
  if (body.waitMs > 0) {
    body.waitMs -= ms;
    return;
  }
  const stretch = body.way[0];
  if (stretch === undefined) return;
  const left = stretch.toMm - body.headMm;
  const step = (stretch.speed * ms) / 1000;
  if (Math.abs(left) > step) {
    body.headMm += left > 0 ? step : -step;
    return;
  }
  body.headMm = stretch.toMm;
  body.waitMs = stretch.thenWaitMs;
  body.way.shift();
}

/** A person in the lane, or an arm of one: stands where it is put. */
export function person(lengthMm: number, headMm: number, turned: number): Body {
  const way: Stretch[] = [{ toMm: headMm + 1, speed: 1, thenWaitMs: 0 }];
  return { who: 'person', headMm, lengthMm, turned, way, waitMs: 60_000 };
}
