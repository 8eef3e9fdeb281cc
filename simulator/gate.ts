/**
 * The simulated gate: leaves with travel time, a rail behind a drop-out relay and a stop contact.
 * A leaf moves only while its actuator is energised, whatever the program believes.
 */
import type { GateConfig, LeafEnd } from '../src/core/interlock/gate.ts';

/** The drop-out relay falls this long after the last edge of the keep-alive, ms. */
export const DROP_OUT_MS = 200;
/** At a full battery a leaf is this much quicker than at the low limit. */
const FULL_BATTERY = 0.75;

export interface SimulatedGate {
  /** Moves the leaves on to time t by these output levels. */
  advance(t: number, levels: Readonly<Record<string, boolean>>, stopHealthy: boolean): void;
  /** Somebody presses the drop-out relay's reset. */
  reset(): void;
  railLive(): boolean;
  /** The leaf's place: 0 retracted, 1 extended. */
  place(leaf: string): number;
  /** End switches as they are made. */
  switches(): Record<string, boolean>;
  /** The exit that stands open, or null while none does. */
  open(): string | null;
  /** Leaves whose actuator is energised now. */
  energised(): string[];
}

/** Creates a gate; every leaf starts somewhere in between. */
export function createSimulatedGate(config: GateConfig): SimulatedGate {
  const places = new Map(config.leaves.map((leaf) => [leaf.name, 0.4]));
  let live = false;
  let fedAt: number | null = null;
  let before = 0;
  let on: string[] = [];
  const at = (leaf: string, end: LeafEnd): boolean => {
    const place = places.get(leaf) ?? 0.5;
    return end === 'extended' ? place >= 0.999 : place <= 0.001;
  };
  return {
    advance: (t, levels, stopHealthy) => {
      if (levels['keepAlive'] === true) fedAt = t;
      const fed = fedAt !== null && t - fedAt <= DROP_OUT_MS;
      if (!fed || !stopHealthy) live = false;
      const dt = t - before;
      before = t;
      on = [];
      for (const leaf of config.leaves) {
        const extend = levels[`${leaf.name}.extend`] === true;
        const retract = levels[`${leaf.name}.retract`] === true;
        if (!live || extend === retract) continue;
        on.push(leaf.name);
        const way = (extend ? dt : -dt) / (leaf.travelMs * FULL_BATTERY);
        places.set(leaf.name, Math.min(1, Math.max(0, (places.get(leaf.name) ?? 0) + way)));
      }
    },
    reset: () => {
      live = fedAt !== null;
    },
    railLive: () => live,
    place: (leaf) => places.get(leaf) ?? 0,
    switches: () => {
      const made: Record<string, boolean> = {};
      for (const leaf of config.leaves) {
        if (!leaf.endSwitches) continue;
        made[`${leaf.name}.extended`] = at(leaf.name, 'extended');
        made[`${leaf.name}.retracted`] = at(leaf.name, 'retracted');
      }
      return made;
    },
    open: () => {
      const exits = Object.entries(config.exits);
      const found = exits.find(([, ends]) =>
        Object.entries(ends).every(([leaf, end]) => at(leaf, end)),
      );
      return found?.[0] ?? null;
    },
    energised: () => on,
  };
}
