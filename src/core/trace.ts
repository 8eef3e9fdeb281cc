/**
 * The Input union (what `step` is given, which is also what a trace file holds), the Event union
 * (what `step` reports) and the header of a trace file.
 *
 * All times are whole milliseconds on a monotonic clock; wall time exists only in records.
 */
import type { Config } from './step.ts';
import type { FaultName } from './faults/table.ts';

/** An exit of the gate, by its name in the gate profile; left and right are as the animal walks. */
export type Exit = string;

/** Facts about a tagged animal, looked up before `step`; null `held` means unclear, which is held. */
export interface KnownFacts {
  /** true: still in withdrawal on the day the lot is killed; null: unclear, treated as held. */
  held: boolean | null;
  /** Name of the tag list that the tag stands in, or null. */
  list: string | null;
  /** Last recorded weight in kg, or null. */
  lastKg: number | null;
  /** Days since that weight, or null. */
  lastDays: number | null;
  /** First free day of a held animal, YYYY-MM-DD; null or left out where it is unclear. */
  freeOn?: string | null;
}

/** A marking that the operator gives an animal before it is let go. */
export type Mark = { name: string; value: number | string | boolean };

export type Command =
  | { do: 'start'; session?: string | number; nextAnimal?: number; counts?: Record<string, number> }
  /**
   * Session, next number and head per lot are set as with `start`, and nothing starts: a session that
   * goes on after a restart, a new day's, and what a person has put right (a full pen gated off, an
   * animal taken out). Another session only while stopped or in fault.
   */
  | {
      do: 'session';
      session?: string | number;
      nextAnimal?: number;
      counts?: Record<string, number>;
    }
  | { do: 'pause' }
  | { do: 'stop' }
  | { do: 'clear' }
  /** By hand: the operator names the exit. Without `animal`, the one on the crate. */
  | { do: 'exit'; exit: Exit; animal?: number }
  /**
   * Hold-to-run: one renewal for one output, e.g. `leafA.extend`. From stopped it enters the fitting
   * mode (`stop` leaves it); in any other mode only the leaf's opening direction is taken. `press`
   * numbers the press, where the sender does so: a renewal of one that has ended is nothing.
   */
  | { do: 'hold'; output: string; press?: number }
  /** A person has looked: lane clear (default) or crate empty. */
  | { do: 'confirm'; what?: 'lane' | 'crate' }
  | { do: 'zero' }
  | { do: 'mark'; mark?: Mark; animal?: number }
  /** The operator's answer to a call, e.g. `unsure`, `carry-on-without-tags`. */
  | { do: 'answer'; answer?: string; lot?: string };

export interface ReadingInput {
  t: number;
  /** Weight that the weigh head sent, in kg; null where it sent none (error, over, under). */
  kg: number | null;
  /** The weigh head's own motion mark, where it has one. */
  motion?: boolean;
  status?: 'over' | 'under' | 'error';
}

/** What `step` is given. Every kind but the tick is a record of the trace. */
export type Input =
  | ReadingInput
  | { t: number; input: string; on: boolean }
  | { t: number; tag: string; known?: KnownFacts }
  | { t: number; command: Command }
  | { t: number; link: LinkName; up: boolean }
  | { t: number; volts: number }
  /** A tick that came `late` ms after its nominal time; those between were not made up. */
  | { t: number; late: number }
  /** A new configuration; taken only when stopped and empty. */
  | { t: number; config: Config }
  /** The tick at a multiple of 20 ms; never recorded. */
  | { t: number; tick: true };

/** What can be there or not: the weigh head, tag reader, relay outputs, sampled inputs, records. */
export type LinkName = 'scale' | 'reader' | 'relays' | 'inputs' | 'records' | 'page' | 'battery';

/** Ticks fall on every multiple of this many ms from t = 0. */
export const TICK_MS = 20;

export type Mode = 'stopped' | 'fitting' | 'homing' | 'running' | 'paused' | 'fault';

/** The rule that decided where an animal goes. */
export type Rule =
  'settled' | 'sure' | 'tag' | 'withdrawal' | 'by-hand' | 'gain' | 'split' | 'overflow' | 'unsure';

/** One animal's way through the crate, as the day book keeps it. Times in trace ms. */
export interface Crossing {
  animal: number;
  session: string | number | null;
  tag: string | null;
  /** First reading over the loading threshold. */
  enteredAt: number | null;
  firstDecidedAt: number | null;
  /** Last change of the decision. */
  decidedAt: number | null;
  /** The crate's front opened for this animal. */
  letGoAt: number | null;
  leftAt: number | null;
  /** Null where no lot was decided. */
  lot: string | null;
  /** Where it went: where the gate stood; null where that is unknown. */
  exit: Exit | null;
  /** Estimate at `decidedAt`, kg to 0.01. */
  decisionKg: number | null;
  /** Estimate at letting go, kg to 0.01; cuts are compared with this value. */
  recordedKg: number | null;
  /** Half-width of the 95 % interval at letting go, kg. */
  uncertaintyKg: number | null;
  rule: Rule | null;
  /** The reason in words. */
  reason: string | null;
  /** Changes of the decision after the first. */
  revisions: number;
  unsure: boolean;
  flags: string[];
  marks: Mark[];
}

/** What `step` reports. Times are those of the input that caused it. */
export type Event =
  | { kind: 'mode'; mode: Mode; why: string }
  | { kind: 'on'; animal: number }
  | {
      kind: 'decided';
      animal: number;
      lot: string | null;
      exit: Exit | null;
      kg: number | null;
      rule: Rule;
      reason: string;
      revision: number;
    }
  | { kind: 'unsure'; animal: number; reason: string }
  /** Every leaf is in place: the let-go signal begins. */
  | { kind: 'ready'; animal: number; exit: Exit }
  /** The front opened: this is the row that the records keep (leftAt still null). */
  | { kind: 'let-go'; crossing: Crossing }
  /** The crossing has ended: the same row, complete. */
  | { kind: 'left'; crossing: Crossing }
  | { kind: 'backed-out'; animal: number }
  | { kind: 'refused'; command: string; reason: string }
  | { kind: 'call'; reason: string }
  | { kind: 'fault'; fault: FaultName; on: boolean; detail?: string }
  | { kind: 'zero'; offsetKg: number }
  /** How the battery stands, now and then: at rest, and the last while a leaf moved, V. */
  | { kind: 'battery'; restVolts: number; movingVolts: number | null }
  | {
      kind: 'stroke';
      leaf: string;
      direction: 'extend' | 'retract';
      phase: 'begun' | 'ended' | 'cut';
    };

/** First line of a `*.trace.ndjson` file. */
export interface TraceHeader {
  trace: 1;
  startedAt: string | null;
  /** `profile` names the scale profile that decodes the bytes. */
  scale: { divisionKg: number; rateHz: number; profile?: string };
  /** Inputs that are fitted; one that is not named here is not fitted. */
  inputs: string[];
  note?: string;
  fank?: string;
  config?: Config;
  gate?: { deadTimeMs: number; travelMs: number; maxOnMs: number };
  /** The weigh head's profile as it was read, so that the bytes are understood anywhere. */
  frames?: unknown;
}
