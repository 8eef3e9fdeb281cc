/**
 * What crosses between the main thread and the page thread, and what the page itself is sent.
 * Plain JSON throughout. Times named `t` are the daemon's monotonic ms.
 */
import type { SiteChange } from '../../config/site-change.ts';
import type { FaultName } from '../../core/faults/table.ts';
import type { Direction, LeafEnd } from '../../core/interlock/gate.ts';
import type { Wait } from '../../core/interlock/state.ts';
import type { Work } from '../../core/sortplan/plan.ts';
import type { SessionOrder, SessionShown } from '../session.ts';
import type { Command, Exit, LinkName, Mark, Mode, Rule } from '../../core/trace.ts';
import type { FittingAnswer, FittingAsk } from '../../fitting/view.ts';

/** What stays the same until plan or site change: names and shapes that the page draws with. */
export interface Layout {
  /** A number that differs whenever the rest differs. */
  id: number;
  plan: string;
  /** Exits as they lie, from left to right as the animal walks, with each leaf's end there. */
  exits: {
    exit: Exit;
    ends: Record<string, LeafEnd>;
    /** Flashes of the lamp that say it: its place in the gate profile, from one. */
    flashes: number;
    /** The yard's own word for it, e.g. road side. */
    said?: string;
  }[];
  leaves: { name: string; travelMs: number }[];
  /** In the plan's order, lightest first. `belowKg` null: no upper end. */
  lots: {
    name: string;
    exit: Exit;
    belowKg: number | null;
    /** Outside the order of weights: only a list, a mark, an overflow or a hand sends here. */
    aside: boolean;
    capacity: number | null;
    forSlaughter: boolean;
  }[];
  /** `weigh-only` and `count-only` move no leaf. */
  work: Work;
  /** Quick marks that the plan offers, three at the most. */
  marks: string[];
  /** Division of the weigh head in kg: so many decimals are shown. */
  divisionKg: number;
  /** True where nothing real moves: the demo. */
  simulated: boolean;
}

/** How sure the weight is, as one of a few states that each have a word and a shape. */
export type WeightState =
  /** No fresh reading. */
  | 'none'
  /** Zero is not known: nobody may trust the figure. */
  | 'no-zero'
  | 'empty'
  | 'coming-on'
  | 'weighing'
  /** The decision stands on this weight. */
  | 'good'
  | 'not-sure'
  | 'leaving';

/** What Fank waits for from a person. */
export type Ask =
  /** Look at the gate: is nobody in it? */
  | 'lane'
  /** Look at the crate: is it empty? */
  | 'crate'
  /** The animal on the crate could not be placed: name its exit. */
  | 'unsure'
  /** Its lot is full: make room, or name another exit. */
  | 'full'
  /** Three tags in a row were not read: carry on without? */
  | 'tags'
  /** A fault's cause is gone: clear it, then start again. */
  | 'clear'
  /** A session was under way before the start: carry on with it? */
  | 'carry-on'
  /** A tag came twice in the session. */
  | 'again';

export interface LeafNow {
  at: LeafEnd | 'between' | 'unknown';
  moving: Direction | null;
  /** Known from timed travel, not from an end switch. */
  assumed: boolean;
}

/** The race at one moment; at most 2 KB as JSON. */
export interface Snapshot {
  /** Counts up by one a snapshot, from 1 at the daemon's start. */
  seq: number;
  t: number;
  /** `id` of the layout that `leaves` and `head` follow. */
  layout: number;
  mode: Mode;
  /** Why it is in this mode, in words, or null. */
  why: string | null;
  session: string | number | null;
  weight: { kg: number | null; ageMs: number | null; u95Kg: number | null; state: WeightState };
  /** What is on the crate, or null. */
  animal: {
    number: number;
    tag: string | null;
    marks: Mark[];
    /** Still in withdrawal, or possibly so, with the free day, in words; null where it is free. */
    held: string | null;
  } | null;
  decision: {
    lot: string | null;
    exit: Exit | null;
    rule: Rule;
    reason: string;
    /** Colour to spray before letting go, or null. */
    spray: string | null;
  } | null;
  /** The exit whose let-go signal is on, or null. */
  letGo: Exit | null;
  /** In the layout's order. */
  leaves: LeafNow[];
  /** The exit that the leaves stand at, or null while they move or are unknown. */
  standsAt: Exit | null;
  /** Why the leaves wait although they are wanted elsewhere; empty when they do not. */
  waits: Wait[];
  /** Lots with five places left or fewer. */
  filling: { lot: string; left: number }[];
  /** Nothing waits for a tag: a person carries on without. */
  tagsOff: boolean;
  /** Head per lot in this session, in the layout's order. */
  head: number[];
  /** The last animals let go, newest first. */
  last: {
    animal: number;
    kg: number | null;
    lot: string | null;
    exit: Exit | null;
    unsure: boolean;
    /** Its row is committed and synced: it is there after a power cut. */
    saved: boolean;
  }[];
  /** Only what is fitted. */
  links: Partial<Record<LinkName, boolean>>;
  /** Null where no battery input is fitted or its reading is stale. */
  volts: number | null;
  batteryLow: boolean;
  faults: { name: FaultName; detail: string | null }[];
  asks: Ask[];
  /** The last command that was refused, in words, for a few seconds. */
  refused: string | null;
  /** The dose for the animal on the crate, ml; null while its weight is not sure. */
  doseMl: number | null;
  /** Goes up whenever `/api/session` has something new. */
  sessionRev: number;
}

/** How a link to a device is heard. */
export interface LinkFigures {
  link: 'scale' | 'reader';
  up: boolean;
  /** Why it is as it is, in words. */
  reason: string;
  /** Whole frames a second, over the last 5 s. */
  perSecond: number;
  /** Stretches of bytes that were no whole frame. */
  noise: number;
  /** Since the last whole frame, ms; null before the first. */
  heardAgeMs: number | null;
  /** How many times the link was opened again. */
  reopened: number;
  /** Since the link was lost last, ms; null where it never was. */
  lostAgoMs: number | null;
}

/** Who holds manual control; null: nobody. */
export type Control = { device: number } | null;

/** A snapshot as the page gets it: with what only the page thread knows. */
export type LiveNow = Snapshot & {
  control: Control;
  /** Age of the snapshot when it was sent, ms. */
  ageMs: number;
  /** The page thread's monotonic ms at sending: shows a line that lags. */
  sentMs: number;
};

/** A sign of life between snapshots. */
export interface LiveBeat {
  ageMs: number | null;
  sentMs: number;
}

export type Role = 'operator' | 'installer';

/** Who sent a command. `device` numbers the signed-in phones; null for a stop by anyone. */
export interface Who {
  role: Role | 'anyone';
  device: number | null;
}

export interface CommandAnswer {
  ok: boolean;
  /** Why it was refused, in words. */
  reason?: string;
}

/** PINs that were made just now, because the site folder had none. Never stored in clear. */
export interface FreshPins {
  operator: string;
  installer: string;
}

/** Given to the page thread when it starts. */
export interface PageThreadData {
  siteDir: string;
  /** URL of the module that reads the day book; null: none. Threads cannot be given functions. */
  bookModule: string | null;
  /** URL of the module that searches a line (see `SearchModule`); null: none. */
  searchModule: string | null;
  host: string;
  port: number;
  /** Folder of the built page. */
  webDir: string;
  /** Names, besides addresses and localhost, by which browsers may call it. */
  names: string[];
  /** Looking needs no PIN. */
  openLooking: boolean;
  /** IANA time zone of the site: when its working day ends. */
  zone: string;
  version: string;
}

/** Main thread to page thread. */
export type ToPage =
  | { kind: 'snapshot'; snapshot: Snapshot }
  | { kind: 'layout'; layout: Layout }
  | { kind: 'session'; session: SessionShown }
  | { kind: 'links'; links: LinkFigures[] }
  | { kind: 'answer'; id: number; answer: CommandAnswer }
  | { kind: 'fitting'; id: number; answer: FittingAnswer }
  | { kind: 'close' };

/** Page thread to main thread. */
export type FromPage =
  | { kind: 'ready'; address: string; port: number; freshPins: FreshPins | null }
  | { kind: 'failed'; reason: string }
  /** Refused where the main thread gets it later than `untilMs`, by the clock that all threads share. */
  | { kind: 'command'; id: number; command: Command; who: Who; untilMs: number | null }
  | { kind: 'fitting'; id: number; ask: FittingAsk }
  | { kind: 'order'; id: number; order: SessionOrder; who: Who }
  /** Answered like a command, when it is on the card and in use. */
  | { kind: 'change'; id: number; change: SiteChange }
  /** This snapshot has been passed on: room for another one. */
  | { kind: 'taken'; seq: number }
  | { kind: 'closed' };
