/** What passes between the fitting and whoever shows it. Plain JSON. */
import type { Mode } from '../core/trace.ts';
import type { FittingState, Result, Signature, Standing, Value } from './state.ts';
import type { Item, StepId } from './steps.ts';
import type { InputSeen, StopSeen, StrokeSeen } from './watch.ts';

/** What a person says or wants; `who` is the name that goes with it. */
export type FittingSaid = { who: string } & (
  | { do: 'answer'; item: string; value: Value }
  /** From now on the service looks for what this item asks. */
  | { do: 'watch'; item: string }
  /** What was measured last is taken. */
  | { do: 'take'; item: string }
  /** Done over: what was found is forgotten. */
  | { do: 'again'; item: string }
  | { do: 'sign' }
  | { do: 'new-yard'; place: string }
);

export interface ItemView extends Item {
  standing: Standing;
  result: Result | null;
}

export interface StepView {
  id: StepId;
  safety: boolean;
  /** Every item is done. */
  done: boolean;
  items: ItemView[];
}

export interface FittingView {
  /** Counts up with every change. */
  rev: number;
  /** False where nothing real moves: then the race starts without a fitting. */
  needed: boolean;
  /** Names of the profiles that the site uses. */
  profiles: { scale: string; board: string; gate: string; crate: string };
  steps: StepView[];
  signed: (Signature & { holds: boolean }) | null;
  yard: FittingState['yard'];
  /** Why the race does not start; empty where it may. */
  notFitted: string[];
  leaves: { name: string; endSwitches: boolean; travelMs: number }[];
  exits: string[];
}

/** What changes by itself. */
export interface FittingLive {
  rev: number;
  mode: Mode;
  inputs: (Omit<InputSeen, 'changedMs'> & { name: string; ageMs: number | null })[];
  /** Motion outputs that are on. */
  moving: string[];
  /** Each leaf's last time on. */
  strokes: StrokeSeen[];
  volts: number | null;
  leastVolts: number | null;
  kg: number | null;
  perSecond: number;
  stop: StopSeen | null;
  watching: {
    item: string;
    forMs: number;
    /** It has left its rest. */
    left: boolean;
  } | null;
}

/** What is asked of the fitting; `lend`, `heard`, `back`: the weigh head's line, to listen on. */
export type FittingAsk =
  | { ask: 'view' | 'live' | 'back' }
  /** With a question the head is asked again and again; else nothing is sent. */
  | { ask: 'lend'; question: Question | null }
  /** What came on the line, from this byte on. */
  | { ask: 'heard'; from: number }
  | { ask: 'say'; said: FittingSaid };

export interface Question {
  send: string;
  everyMs: number;
}

/** What came on the line since it was lent. */
export interface HeardLine {
  /** It is still listened to. */
  on: boolean;
  /** How the port is open, such as `9600 8N1`. */
  opening: string | null;
  /** It could not be opened, in words. */
  trouble: string | null;
  baud: number | null;
  framing: string | null;
  everySpeed: boolean;
  evidence: string[];
  /** Any byte ever came. */
  anything: boolean;
  text: { t: number; byte: number }[];
}

/** The line is lent, heard or taken back. */
export interface LineLent {
  refused: string | null;
  line?: HeardLine;
}

export interface FittingAnswer {
  line?: HeardLine;
  /** Why it was not taken, in words; null where it was, or where nothing was said. */
  refused: string | null;
  view: FittingView | null;
  live: FittingLive;
}
