/** The session as the page shows it, and what a person says about it. Plain JSON. */
import type { Given } from '../core/sortplan/dosing.ts';

/** What people say of a session. Null where nobody said. */
export interface SessionWords {
  farm: string | null;
  holding: string | null;
  flockMark: string | null;
  mob: string | null;
  field: string | null;
  hoursOffFeed: number | null;
  fleece: 'dry' | 'damp' | 'wet' | null;
  who: string | null;
}

/** One of the animals let go last, with what can be put right about it. */
export interface ShownAnimal {
  animal: number;
  tag: string | null;
  kg: number | null;
  lot: string | null;
  exit: string | null;
  pen: string | null;
  /** Null where it counts, otherwise why not. */
  notCounted: string | null;
  unsure: boolean;
  /** ml that it was given; null: nothing; `unknown`: no dose was shown for it. */
  dose: number | 'unknown' | null;
  /** What a person has put right, and not taken back: `exit`, `lot`, `pen`, `tag`, `void`, … */
  putRight: string[];
}

export interface ShownGiven {
  what: Given;
  doses: number;
  /** Used since it was set, ml. */
  ml: number;
  /** Animals of whom nobody knows whether they were given it. */
  unknown: number;
}

/** Head of what counts in the session, by what is in the day book. */
export interface ShownHeads {
  head: number;
  /** Per lot, in all; '' where no lot was decided. */
  perLot: Record<string, number>;
  /** The pen that each exit leads to, where it is not its first. */
  penOf: Record<string, string>;
  /** A null pen: not known where. */
  pens: { pen: string | null; exit: string | null; head: number; open: boolean }[];
  /** Tags that came twice and that nobody was asked about yet. */
  again: { tag: string; animals: number[] }[];
  /** Newest first. */
  recent: ShownAnimal[];
}

export interface SessionShown extends ShownHeads {
  id: string;
  words: SessionWords;
  /** Local time of its beginning, `HH:MM`; null before the first start. */
  begun: string | null;
  /** It was begun before Fank was started: carry on, or begin another? Nobody has said yet. */
  choose: boolean;
  given: ShownGiven | null;
  /** What was said last of each farm, the latest first. */
  offered: SessionWords[];
  /** The clock that the rows are written by: local time, and whether it can be believed. */
  clock: { set: boolean; local: string };
}

/** `animal`: a number of this session, or of another one of today where one is named. */
interface OfAnimal {
  animal: number;
  session?: string;
}

/** What a person says of the session, or puts right in it. */
export type SessionOrder =
  | { do: 'describe'; words: SessionWords }
  | { do: 'begin'; words: SessionWords }
  | { do: 'carry-on' }
  | ({ do: 'pulled-out' } & OfAnimal)
  | ({ do: 'went'; lot: string } & OfAnimal)
  | ({ do: 'take-back' } & OfAnimal)
  | ({ do: 'tag'; tag: string | false } & OfAnimal)
  /** A tag came twice: the same animal again, or was another's misread? */
  | ({ do: 'came-again'; same: boolean } & OfAnimal)
  /** ml that it was given, or false: nothing. */
  | ({ do: 'dose'; ml: number | false } & OfAnimal)
  | { do: 'new-pen'; exit: string }
  | { do: 'run-again'; pen: string }
  | { do: 'given'; given: Given | null }
  /** The time by the phone, UTC ms. */
  | { do: 'clock'; wallMs: number };

export interface OrderAnswer {
  ok: boolean;
  /** Why not, or what to mind, in words. */
  reason?: string;
}
