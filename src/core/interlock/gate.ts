import type { Exit } from '../trace.ts';

export type LeafEnd = 'extended' | 'retracted';
export type Direction = 'extend' | 'retract';

/** One leaf of the gate: an actuator that reverses through two changeover relays. */
export interface LeafConfig {
  /** Outputs are `<name>.extend` and `<name>.retract`; end switches `<name>.extended`, `<name>.retracted`. */
  name: string;
  /** Time of a whole stroke at the low-battery limit, ms. */
  travelMs: number;
  /** Longest time that a direction may stay on, ms: travel plus 25 % without end switches. */
  maxOnMs: number;
  /** How long it stays on after its end switch has made, ms: 0 to 500; 0 without switches. */
  overTravelMs: number;
  endSwitches: boolean;
  /** The direction in which this leaf frees what it may have caught. */
  opening: Direction;
  /** Duty (IEC 60034-1 S3): on-time allowed within any period, ms; null where rated S1, continuous. */
  duty: { onMs: number; periodMs: number } | null;
}

/** A gate, resolved and checked. */
export interface GateConfig {
  /** Each exit is a combination of leaf ends; two to five exits. */
  exits: Record<Exit, Record<string, LeafEnd>>;
  /** In the order in which they are homed and moved; one to four. */
  leaves: LeafConfig[];
  /** The exit that homing ends at. */
  home: Exit;
  /** After one direction goes off the other stays off this long, ms: 250 or more. */
  deadTimeMs: number;
  /** Warning before motion, ms: the first of a session, and the later ones. */
  warnMs: { first: number; later: number };
  /** At least this long between the beginnings of two leaves' strokes, ms. */
  staggerMs: number;
  /** Lane counts as occupied this long after the last sign of an animal, ms. */
  laneHoldMs: number;
  /** Strokes of one leaf by assumed position before it must be homed or confirmed again. */
  rehomeAfterStrokes: number;
  /**
   * The drop-out relay feeds the rail that `actuatorPower` watches: it must be dead this long after
   * the keep-alive fell silent, ms. Null where the rail does not follow the keep-alive.
   */
  dropOutMs: number | null;
  /** Combinations of leaf zones that must never be passed through; checked by the loader. */
  forbidden: Record<string, LeafEnd | 'between'>[];
}

/** The battery's limits, or null where no battery input is fitted. */
export interface BatteryConfig {
  /** Below this at rest no new automatic stroke begins, V. */
  lowVolts: number;
  /** Below this while a leaf moves none begins until the next start, V; as `lowVolts` where not said. */
  loadVolts?: number;
  /** Below this at rest it is said, V. */
  warnVolts?: number;
  /** A battery reading older than this counts as missing, ms. */
  staleMs: number;
}
