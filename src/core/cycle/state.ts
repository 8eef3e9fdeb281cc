import type { Times } from '../times.ts';
import type { Event, Exit, KnownFacts, Mark, Mode, Crossing } from '../trace.ts';
import type { ContactsResult } from '../contacts/contacts.ts';
import type { Condition, FaultsResult } from '../faults/faults.ts';
import type { GateConfig } from '../interlock/gate.ts';
import type { GateRequest, GateResult } from '../interlock/state.ts';
import type { Decision, Plan } from '../sortplan/plan.ts';
import type { UnreadRun } from '../sortplan/unread.ts';
import type { WeighingResult } from '../weighing/result.ts';
import type { CrateConfig } from './crate.ts';

export interface CycleConfig {
  /** Safety steps of the fitting that are open, by name. */
  notFitted?: string[];
  /** What each wired button for a mark gives. */
  markButtons?: Record<string, Mark>;
  /** The site has no tag reader. */
  noReader?: true;
  crate: CrateConfig;
  plan: Plan;
  gate: GateConfig;
  times: Times;
}

/** How things stood when the front opened. */
export interface Opening {
  openAt: number;
  kg: number | null;
  u95Kg: number | null;
  /** Where the gate stood; null where a leaf was moving or its position is unknown. */
  exit: Exit | null;
  moving: boolean;
  oddities: string[];
}

export interface AnimalState {
  number: number;
  enteredAt: number | null;
  /** The weighing has had an estimate from here on. */
  weighedAt: number | null;
  tag: string | null;
  known: KnownFacts | null;
  /** The tag is that of an animal that backed out: a tag read now takes its place. */
  tagKept: boolean;
  byHand: Exit | null;
  marks: Mark[];
  basis: 'settled' | 'sure' | null;
  decision: Decision | null;
  firstDecidedAt: number | null;
  decidedAt: number | null;
  decisionKg: number | null;
  /** The last estimate that was good enough, for a crate whose front nobody sees. */
  goodKg: number | null;
  goodU95Kg: number | null;
  revisions: number;
  /** Something about the weight speaks against the decision now. */
  doubtful: boolean;
  /** The operator was called for this animal, and it still waits for the answer. */
  calledAt: number | null;
  /** Since when it has its exit but waits for a person's look at the gate. */
  waitsAt: number | null;
  /** The let-go signal has been given since. */
  readyAt: number | null;
  takenBackAt: number | null;
  opening: Opening | null;
  crossing: Crossing | null;
  goneAt: number | null;
  flags: string[];
}

export interface PendingTag {
  tag: string;
  known: KnownFacts | null;
  /** Kept from an animal that backed out. */
  kept: boolean;
}

export interface CycleState {
  mode: Mode;
  modeAt: number | null;
  session: string | number | null;
  nextAnimal: number;
  counts: Record<string, number>;
  animal: AnimalState | null;
  /** Read with no animal on the crate: it is the next one's. */
  pendingTag: PendingTag | null;
  unread: UnreadRun;
  tagsOff: boolean;
  /** Since when it is offered to carry on without tags; null: it is not, or was answered. */
  offerAt: number | null;
  saying: Saying | null;
  /** Occupancy seen last, to notice an animal that passes an open front. */
  loaded: boolean;
  /** An animal that was let go has gone with the front never seen open, and nobody has looked since. */
  frontUnseen?: boolean;
  /** The last crossing ended with weight on the crate: what is on is another animal. */
  follows: boolean;
  /** Since when the start button is seen off; null while it is on. */
  startOffAt: number | null;
  acknowledgedAt: number | null;
}

/** Something that is said once by the sounder. */
export interface Saying {
  /** A lot is nearly full or full; a hand was refused for withdrawal; a mark was given or taken. */
  what: 'filling' | 'refused' | 'marked' | 'unmarked';
  beganAt: number;
}

/** What the cycle sees of the other modules; gate and faults are those of the step before. */
export interface CycleSight {
  contacts: ContactsResult;
  weighing: WeighingResult;
  gate: GateResult;
  faults: FaultsResult;
}

export interface CycleResult {
  request: GateRequest;
  /** What the weighing is to be told in the next step. */
  zero: boolean;
  crateEmpty: boolean;
}

/** What one step gathers. */
export interface CycleWork {
  config: CycleConfig;
  /** A copy: free to be changed. */
  s: CycleState;
  t: number;
  sight: CycleSight;
  request: GateRequest;
  zero: boolean;
  crateEmpty: boolean;
  events: Event[];
  conditions: Condition[];
}

export function refuse(work: CycleWork, command: string, reason: string): void {
  work.events.push({ kind: 'refused', command, reason });
}
