import type { Given } from '../../core/sortplan/dosing.ts';
import type { Treatment } from '../../core/sortplan/withdrawal.ts';
import type { SessionWords } from '../session.ts';
import type { CheckRow } from './check-weights.ts';
import type { SessionNow } from './session-now.ts';
import type { Crossing, Event, TraceHeader } from '../../core/trace.ts';

/** When something happened, by the wall clock. */
export interface Wall {
  /** UTC ms. */
  atMs: number;
  /** False for what was written before the system clock was set. */
  clockSet: boolean;
}

/** A sort plan as it is kept: `hash` names its meaning, `resolved` is all of it. */
export interface SessionPlan {
  name: string;
  hash: string;
  resolved: unknown;
}

export interface EarlierWeightRow {
  tag: string;
  /** Null: nobody said whose it is. */
  farm: string | null;
  /** `YYYY-MM-DD` */
  day: string;
  kg: number;
}

/** A file of the site folder, by its path in it; the whole of its new text. */
export interface SiteFile {
  path: string;
  text: string;
}

/** One go at the race: what the crossings of a day belong to. Null where nobody said. */
export interface SessionInfo extends SessionWords {
  id: string;
  plan: SessionPlan | null;
  /** Division of the weigh head, kg. */
  divisionKg: number | null;
}

/**
 * What a person says about a crossing afterwards. It is kept beside the crossing; the last of each
 * kind counts, and a null value takes the earlier one back.
 */
export interface Correction {
  session: string;
  animal: number;
  /**
   * `exit`: where it really went; `lot`; `pen`; `tag` (false: none was read); `void`: not counted
   * (true) after all; `again`: asked about a tag that came twice, and answered; `dose`: ml that it
   * was given, false: nothing.
   */
  kind: 'exit' | 'lot' | 'pen' | 'tag' | 'void' | 'again' | 'dose';
  value: string | number | boolean | null;
  who: string | null;
  why: string | null;
  /**
   * Of a session of today that is over: kept where the day book has the animal; a lot brings the exit
   * and the pen with it that it had then.
   */
  past?: boolean;
}

/** From when a wrong clock's error is known: its rows from that animal on, what else from then on. */
export interface MendSince {
  animal: number;
  /** UTC ms by the wrong clock. */
  atMs: number;
}

/** Rows for the database, in words of the core. */
export type RowMessage =
  | { kind: 'session'; session: SessionInfo; wall: Wall }
  | CrossingMessage
  | { kind: 'correction'; correction: Correction; wall: Wall }
  | { kind: 'event'; session: string | null; t: number; event: Event; wall: Wall }
  /** From now on this exit leads to another pen. */
  | { kind: 'pen'; session: string; exit: string; pen: string; wall: Wall }
  /** From now on every animal of the session is given this; null: nothing any more. */
  | { kind: 'given'; session: string; given: Given | null; who: string | null; wall: Wall }
  /** From now on the session is sorted by this plan; each crossing points at its own. */
  | { kind: 'plan'; session: string; plan: SessionPlan; wall: Wall }
  /** Weights from before, from a list: no crossing stands behind them. */
  | { kind: 'earlier-weights'; weights: EarlierWeightRow[]; wall: Wall }
  /** A known mass was put on the crate. */
  | { kind: 'check-weight'; check: CheckRow; wall: Wall }
  /** A pen's animals are run through again: its crossings so far count no longer. */
  | { kind: 'run-again'; session: string; pen: string; who: string | null; wall: Wall }
  /** The clock was found wrong by `deltaMs`: add it to what was written of this session unset `since`. */
  | { kind: 'mend'; session: string; since: MendSince; deltaMs: number; wall: Wall };

/**
 * `final` false: at letting go. `final` true: the crossing has ended, the same row complete.
 * `doseMl`: the dose that was shown for it, null where none was; it counts where the session gives
 * something, and is written with the row.
 */
export interface CrossingMessage {
  kind: 'crossing';
  session: string;
  crossing: Crossing;
  final: boolean;
  doseMl?: number | null;
  wall: Wall;
}

/** What goes into the trace file. */
export type TraceMessage =
  { kind: 'line'; record: object } | { kind: 'rotate'; header: TraceHeader; state: unknown };

/** What the main thread sends to the records thread; `seq` rises by one. */
export type ToWorker =
  | Queued<RowMessage | TraceMessage>
  | { kind: 'files'; id: number; files: SiteFile[] }
  | { kind: 'close' }
  /** Ends the thread, whatever is unsaved. */
  | { kind: 'leave' };

export interface Queued<M> {
  kind: 'queued';
  seq: number;
  message: M;
}

/** The kinds that go into the trace file and not into the database. */
export function isTrace(message: RowMessage | TraceMessage): message is TraceMessage {
  return message.kind === 'line' || message.kind === 'rotate';
}

/** Last sure weight that a tagged animal had on a day on a farm, for looking facts up before a step. */
export interface LastWeight {
  tag: string;
  farm: string | null;
  kg: number;
  /** `YYYY-MM-DD`, by the site's zone. */
  day: string;
}

/** What the records thread knows when the day book is open. */
export interface Ready {
  /** Names this day book among all others. */
  siteId: string;
  /** Last sure weights, for the facts given with a tag. */
  lastWeights: LastWeight[];
  /** The session that was begun last; whether it is today's is the clock's to say. */
  last: SessionNow | null;
  /** What was said last of each farm, the latest first. */
  farms: SessionInfo[];
  /** What animals were given at the race, for withdrawal. */
  treatments: RaceTreatment[];
}

/** A treatment that was written at the race. */
export interface RaceTreatment extends Omit<Treatment, 'givenDay'> {
  /** `YYYY-MM-DD` by the site's zone. */
  day: string;
  session: string;
  /** The farm whose animals it was given to; a mob means that farm's. */
  farm: string | null;
}

/** What the records thread answers. */
export type FromWorker =
  | ({ kind: 'ready' } & Ready)
  /** The site folder cannot be used at all (another daemon, a newer database): in words. */
  | { kind: 'refused'; reason: string }
  /**
   * The session as it stands after a commit. `put` is what people's words changed in `counts` beyond
   * the animals that were let go meanwhile, which whoever counts them has counted already.
   */
  | { kind: 'session'; now: SessionNow; put: Record<string, number> }
  /** Rows up to `rows` are committed and synced. */
  | { kind: 'rows'; upTo: number }
  /** Lines up to `upTo` are handed to the file. */
  | { kind: 'lines'; upTo: number; trace: TracePlace }
  /** A crossing's row is committed and synced. */
  | { kind: 'saved'; session: string; animal: number }
  | { kind: 'link'; up: boolean; reason: string }
  /** A second crossing came under a key that is taken: it was kept as an event, not as a row. */
  | { kind: 'clash'; session: string; animal: number }
  /** Files of the site are all on the card (null), or none of them is, with the reason in words. */
  | { kind: 'filed'; id: number; reason: string | null }
  /** Everything is on the card and the files are shut. */
  | { kind: 'closed' };

/** How far a trace file is written, so that a new thread can carry on where the old one fell. */
export interface TracePlace {
  file: string;
  bytes: number;
}

export interface WorkerOptions {
  siteDir: string;
  /** IANA zone of the site: days are its days. */
  zone: string;
  version: string;
  header: TraceHeader;
  state: unknown;
  /** Set when a thread takes over from one that died. */
  resume: TracePlace | null;
  /** Greatest size of all trace files together, bytes. */
  maxTraceBytes: number;
  /** For tests: every commit takes this much longer, as a slow card would. */
  slowMs: number;
}
