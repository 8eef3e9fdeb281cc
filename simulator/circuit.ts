/**
 * The actuators' circuit: battery, fuse, hard-wired stop contact, drop-out relay behind the keep-alive,
 * two changeover relays a leaf. Current flows, and a leaf moves, by its contacts and fuses alone,
 * whatever the program believes. Times are the slowest that such parts are taken for.
 */
import type { Direction, GateConfig } from '../src/core/interlock/gate.ts';

/** One step of the circuit and of every body, ms. */
export const STEP_MS = 5;
/** A relay's contact follows its coil after this long, ms. */
const RELAY_MS = 15;
/** Without an edge of the keep-alive the drop-out relay's coil loses its current after this, ms. */
const FED_MS = 200 - RELAY_MS;

/** What somebody or the program does to the circuit in one step. */
export interface Drive {
  levels: Readonly<Record<string, boolean>>;
  /** The keep-alive had an edge. */
  edge: boolean;
  stopPressed: boolean;
  resetPressed: boolean;
  /** Broken parts: `welded X`, `open X`, `blown X`, `fed keepAlive`, `silent keepAlive`. */
  broken: ReadonlySet<string>;
}

interface Relay {
  leaf: string;
  direction: Direction;
  name: string;
  closed: boolean;
  waitedMs: number;
}

/** Current in one leaf's motor during the last step. */
export interface Current {
  leaf: string;
  direction: Direction;
  /** How far the leaf moved, as a share of its whole stroke. */
  moved: number;
}

/** A gate whose leaves begin somewhere between their ends, and whose drop-out relay is off. */
export class Circuit {
  readonly #config: GateConfig;
  readonly #places: Record<string, number> = {};
  readonly #relays: Relay[] = [];
  #dropOut = { closed: false, waitedMs: 0 };
  #sinceEdgeMs = 60_000;
  #rail = false;
  #currents: Current[] = [];
  /** Share of the travel time at the low-battery limit that a stroke takes; over 1 with a stiff hinge. */
  quickness: number;

  constructor(config: GateConfig, quickness: number) {
    this.#config = config;
    this.quickness = quickness;
    for (const leaf of config.leaves) {
      this.#places[leaf.name] = 0.4;
      for (const direction of ['extend', 'retract'] as const) {
        const name = `${leaf.name}.${direction}`;
        this.#relays.push({ leaf: leaf.name, direction, name, closed: false, waitedMs: 0 });
      }
    }
  }

  /** Moves on by one step. */
  advance(drive: Drive): void {
    const { broken } = drive;
    for (const relay of this.#relays) follow(relay, drive.levels[relay.name] === true, broken);
    this.#holdRail(drive);
    this.#currents = [];
    if (!this.#rail) return;
    for (const [i, leaf] of this.#config.leaves.entries()) {
      const extend = this.#relays[2 * i]?.closed === true;
      const retract = this.#relays[2 * i + 1]?.closed === true;
      if (extend === retract || broken.has(`blown ${leaf.name}`)) continue;
      const before = this.#places[leaf.name] ?? 0;
      const way = STEP_MS / (leaf.travelMs * this.quickness);
      const after = Math.min(1, Math.max(0, before + (extend ? way : -way)));
      this.#places[leaf.name] = after;
      const direction = extend ? 'extend' : 'retract';
      this.#currents.push({ leaf: leaf.name, direction, moved: Math.abs(after - before) });
    }
  }

  #holdRail({ edge, stopPressed, resetPressed, broken }: Drive): void {
    this.#sinceEdgeMs = edge && !broken.has('silent keepAlive') ? 0 : this.#sinceEdgeMs + STEP_MS;
    const loop = (!stopPressed || broken.has('welded stop')) && !broken.has('blown rail');
    const fed = broken.has('fed keepAlive') || this.#sinceEdgeMs <= FED_MS;
    const wanted = loop && fed && (this.#dropOut.closed || resetPressed);
    const relay = this.#dropOut;
    relay.waitedMs = wanted === relay.closed ? 0 : relay.waitedMs + STEP_MS;
    if (relay.waitedMs >= RELAY_MS) relay.closed = wanted;
    if (broken.has('open dropOut')) relay.closed = false;
    this.#rail = loop && (relay.closed || broken.has('welded dropOut'));
  }

  railLive(): boolean {
    return this.#rail;
  }

  /** Motors with current in the last step, moving or not. */
  currents(): readonly Current[] {
    return this.#currents;
  }

  /** The leaf's place: 0 retracted, 1 extended. */
  place(leaf: string): number {
    return this.#places[leaf] ?? 0;
  }

  /** End switches as they are made. */
  switches(): Record<string, boolean> {
    const made: Record<string, boolean> = {};
    for (const leaf of this.#config.leaves) {
      if (!leaf.endSwitches) continue;
      made[`${leaf.name}.extended`] = this.place(leaf.name) >= 0.999;
      made[`${leaf.name}.retracted`] = this.place(leaf.name) <= 0.001;
    }
    return made;
  }
}

function follow(relay: Relay, wanted: boolean, broken: ReadonlySet<string>): void {
  relay.waitedMs = wanted === relay.closed ? 0 : relay.waitedMs + STEP_MS;
  if (relay.waitedMs >= RELAY_MS) relay.closed = wanted;
  if (broken.size === 0) return;
  if (broken.has(`welded ${relay.name}`)) relay.closed = true;
  if (broken.has(`open ${relay.name}`)) relay.closed = false;
}
