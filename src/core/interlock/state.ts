import type { ContactsResult } from '../contacts/contacts.ts';
import type { Times } from '../times.ts';
import type { Exit, Mode } from '../trace.ts';
import type { BatteryConfig, Direction, GateConfig, LeafEnd } from './gate.ts';

export interface InterlockConfig {
  gate: GateConfig;
  battery: BatteryConfig | null;
  keepAliveProved: boolean;
  times: Times;
}

/** What the interlock sees of contacts and crate. */
export interface Sight {
  contacts: ContactsResult;
  scaleFresh: boolean;
  /** By a fresh weight; both false where there is none. */
  crateEmpty: boolean;
  crateLoaded: boolean;
}

export type StrokeKind = 'automatic' | 'by-hand' | 'homing' | 'hold';

export interface Stroke {
  direction: Direction;
  kind: StrokeKind;
  /** Where the leaf stood before. */
  from: LeafEnd | 'unknown';
  beganAt: number;
  /** Far end switch made, or null. */
  madeAt: number | null;
}

export interface LeafState {
  position: LeafEnd | 'unknown';
  /** The position rests on timed travel, not on a switch. */
  assumed: boolean;
  /** Strokes since it was last homed or confirmed. */
  strokes: number;
  stroke: Stroke | null;
  /** When each direction last went off; null until the first step, which counts as just now. */
  extendOffAt: number | null;
  retractOffAt: number | null;
  /** On-time not yet rested off, ms, as it was at `dutyAt`. */
  dutyUsedMs: number;
  dutyAt: number | null;
}

export interface LaneState {
  /** A person has to look before the lane may count as clear. */
  needsConfirm: boolean;
  /** The beam that the last crossing has still to break, or null; as it was before the front opened. */
  waitsFor: string | null;
  waitedFor: string | null;
  /** When the front opened that is not yet proved shut. */
  openedAt: number | null;
  /** Latest sign of an animal. */
  signAt: number | null;
  /** By the last fresh weight. */
  loaded: boolean;
  /** Whoever comes on now would pass the open front uncounted; with no front contact: has passed. */
  passer: boolean;
}

export interface SupplyState {
  records: boolean;
  relays: boolean;
  battery: boolean;
  volts: number | null;
  voltsAt: number | null;
  /** The last with nothing moving, and the last while a leaf moved since the start. */
  restVolts: number | null;
  movingVolts: number | null;
  /** When the day book last heard of it. */
  toldAt: number | null;
}

export interface InterlockState {
  startedAt: number | null;
  tickAt: number | null;
  leaves: Record<string, LeafState>;
  lane: LaneState;
  supply: SupplyState;
  /** A trip is latched here besides in the fault list: this module does not rely on another. */
  tripped: boolean;
  /** Leaves still to be homed, in order. */
  toHome: string[];
  /** After a let-out-early all leaves are homed before anything else moves, */
  homeFirst: boolean;
  /** and that not before the crate is empty: by a fresh weight, or by a person's word without one. */
  emptyFirst: boolean;
  saidEmpty: boolean;
  warningAt: number | null;
  /** The first warning of this session has been given. */
  warned: boolean;
  strokeBeganAt: number | null;
  /** The press under way; `spent` once its stroke has ended: only a new press moves again. */
  hold: {
    output: string;
    press: number | null;
    beganAt: number;
    renewedAt: number;
    spent: boolean;
  } | null;
  /** Number of the press that ended last: a late renewal of it is nothing. */
  endedPress: number | null;
  /** Since when the keep-alive has been silent, or null while it is fed. */
  silentAt: number | null;
  /** The actuators' rail was seen live since the keep-alive was last silent. */
  railSeen: boolean;
}

/** What the cycle wants of the gate. */
export interface GateRequest {
  mode: Mode;
  /** The exit that the gate should stand at, or null for no wish. */
  exit: Exit | null;
  byHand: boolean;
  /** A person's acts in this step. */
  started: boolean;
  cleared: boolean;
  confirmed: boolean;
  /** A person says that the crate is empty: taken where no fresh weight says otherwise. */
  crateSeenEmpty: boolean;
  /** An animal that was let go has gone, and the front was never seen open. */
  unseen?: boolean;
  /** A hold-to-run renewal in this step. */
  hold: { output: string; press: number | null } | null;
}

export interface GateResult {
  /** The exit at which every leaf stands with nothing moving, or null. */
  at: Exit | null;
  moving: boolean;
  /** A warning is being given before motion. */
  warning: boolean;
  /** Since when, and whether it is the first of this session. */
  warningAt: number | null;
  warnsFirst: boolean;
  needsHoming: boolean;
  homed: boolean;
  laneClear: boolean;
  laneNeedsConfirm: boolean;
  tripped: boolean;
  /** Why no stroke may begin now: names, empty when one may. */
  waits: Wait[];
  leaves: Record<
    string,
    { position: LeafEnd | 'unknown'; assumed: boolean; moving: Direction | null }
  >;
}

export type Wait =
  | 'mode'
  | 'stop'
  | 'power'
  | 'front'
  | 'lane'
  | 'confirm'
  | 'contacts'
  | 'scale'
  | 'position'
  | 'battery'
  | 'records'
  | 'keep-alive'
  | 'duty'
  | 'crate';
