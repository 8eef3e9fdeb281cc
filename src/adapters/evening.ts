/**
 * What a day comes to, as the page, `fank book` and the lot sheet show it: one query behind all of
 * them. Plain JSON. Weights kg, gains g a day, days `YYYY-MM-DD` and times by the clock on the wall.
 */
import type { SessionWords } from './session.ts';

/** Which day is asked for, and what the farmer knows besides. */
export interface EveningAsk {
  /** Null: the latest with crossings. */
  day: string | null;
  /** Null: all of that day, where they are of one farm; '' the sessions that name no farm. */
  farm: string | null;
  /** The farmer's own killing-out per cent, or null. */
  killingOut: number | null;
  /** Weight to be reached; null: the lowest cut of the plan. */
  targetKg: number | null;
}

/** A day of more than one farm: one has to be chosen, since nothing is reckoned across farms. */
export interface ManyFarms {
  day: string;
  /** '' stands for sessions that name no farm. */
  farms: string[];
}

export interface EveningSession extends Omit<SessionWords, 'farm' | 'fleece'> {
  id: string;
  /** When it was begun. */
  time: string;
  plan: string | null;
  /** Lots that its plans name. */
  lots: string[];
  fleece: string | null;
}

/** One crossing. */
export interface Line {
  session: string;
  animal: number;
  time: string;
  /** `unset`: by a clock that was not set. */
  clock: 'set' | 'unset' | 'mended';
  tag: string | null;
  kg: number | null;
  /** Half-width of the 95 % interval, kg. */
  uncertaintyKg: number | null;
  lot: string | null;
  exit: string | null;
  pen: string | null;
  rule: string | null;
  reason: string | null;
  unsure: boolean;
  flags: string[];
  /** `name: value` */
  marks: string[];
  /** Null where it counts. */
  notCounted: string | null;
  /** What people put right, in the order in which they said it. */
  corrections: { kind: string; was: Said; value: Said; who: string | null }[];
}

/** What a correction says; null: what was there before. */
type Said = string | number | boolean | null;

export interface GainLine extends Line {
  /** The weight that it is reckoned from. */
  fromKg: number;
  fromDay: string;
  /** It stood in a list that somebody brought in. */
  fromList: boolean;
  /** Whole and part days between. */
  days: number;
  gramsADay: number;
  /** Half-width of its 95 % interval, g a day. */
  uncertainty: number;
  /** Why it is wider than the two weights alone would make it. */
  widened: string[];
}

export interface FlockGain {
  head: number;
  gramsADay: number;
  /**
   * Half-width of the 95 % interval of the mean of these animals, g a day: what each weight adds gets
   * smaller with the head; what all have in common (hours off feed, fleece) does not.
   */
  uncertainty: number;
  /** Between animals; null for fewer than two. */
  sd: number | null;
  widened: string[];
}

export interface LotLine {
  /** Null: animals that no lot was decided for. */
  lot: string | null;
  head: number;
  tagsRead: number;
  notRead: number;
  unsure: number;
  /** Head that stand in another pen than this lot's. */
  wrongWay: number;
  weights: {
    count: number;
    mean: number;
    sd: number | null;
    least: number;
    most: number;
    total: number;
  } | null;
  /** Head in each whole kilogram. */
  classes: { fromKg: number; head: number }[];
  /** By the farmer's killing-out per cent; null where none was given or nothing was weighed. */
  carcass: { meanKg: number; totalKg: number } | null;
}

/** What was given at the race that day, by product and batch. */
export interface GivenLine {
  product: string;
  batch: string;
  /** Head that it was given to, and ml of them together. */
  head: number;
  ml: number;
  /** Head of whom nobody knows whether they were given it. */
  unknown: number;
}

/** When an animal that has a gain of its own will have reached the target. */
export interface ReadyLine {
  tag: string;
  animal: number;
  session: string;
  kg: number;
  gramsADay: number;
  /** Null: not at this gain. */
  day: string | null;
  /** By the ends of the intervals of weight and gain together, so rather wide; null: open. */
  earliest: string | null;
  latest: string | null;
}

export interface Target {
  kg: number;
  /** Head that weigh as much already. */
  there: number;
  /** Head below it of which no gain is known. */
  unknown: number;
  /** The others, soonest first. */
  coming: ReadyLine[];
}

export interface Pace {
  /** Animals an hour while sorting; null for less than a minute of it. */
  anHour: number | null;
  /** Minutes of sorting, and from the first start to the last animal. */
  sortingMinutes: number;
  minutes: number;
  /** Head in each quarter of an hour, empty ones between included; UTC ms of its beginning. */
  quarters: { atMs: number; head: number }[];
  stops: { time: string; minutes: number; mode: string; why: string }[];
  faults: { fault: string; times: number; first: string }[];
  /** Where a battery input is fitted: V at rest, and while a leaf moved (null: not yet), as the day went. */
  battery: { time: string; restVolts: number; movingVolts: number | null }[];
}

export interface Evening {
  day: string;
  zone: string;
  farm: string | null;
  sessions: EveningSession[];
  /** Head in = head out: through the crate = not counted + counted, and counted = the pens together. */
  head: {
    through: number;
    counted: number;
    notCounted: { why: string; head: number }[];
    /** Tags that were seen in more than one session, and count in each. */
    twice: number;
    /** Null: nobody knows where. */
    pens: { pen: string | null; head: number }[];
  };
  /** Who wants looking at. */
  look: {
    /** Of each mob by its last day before, the latest first; those drafted for slaughter then are left out. */
    missing: { lastDay: string; tags: string[] }[];
    lostWeight: GainLine[];
    /** The tenth with the least gain, of ten or more. */
    slowest: GainLine[];
    /** Within 1 kg below a cut. */
    nearlyThere: Line[];
    /** First free day; null: not known. */
    held: (Line & { freeOn: string | null })[];
    byHand: Line[];
    letOutEarly: Line[];
    /** The front was opened before *let go*, with no leaf moving. */
    openedEarly: Line[];
    /** In another pen than their lot's, and not put right. */
    wrongWay: Line[];
    notSure: Line[];
  };
  lots: LotLine[];
  given: GivenLine[];
  flock: FlockGain | null;
  gains: GainLine[];
  target: Target | null;
  pace: Pace;
}

/** One weight of an animal that was asked for by the end of its tag. */
export interface PastWeight {
  day: string;
  /** '' of a weight from a list. */
  time: string;
  /** Weighed here, or from a list that somebody brought in. */
  source: 'crossing' | 'list';
  kg: number | null;
  uncertaintyKg: number | null;
  lot: string | null;
  pen: string | null;
  unsure: boolean;
  notCounted: string | null;
  hoursOffFeed: number | null;
  fleece: string | null;
  /** Since the sure weight before it, a day or more earlier. */
  gain: { gramsADay: number; uncertainty: number; widened: string[] } | null;
}

export interface Animal {
  tag: string;
  /** Newest first. */
  weights: PastWeight[];
}

/** What stands on a lot sheet besides what was weighed. */
export interface SheetAsk {
  day: string | null;
  farm: string | null;
  /** Of one lot, or of one pen. */
  lot: string | null;
  pen: string | null;
  to: string | null;
  /** Of those that were not read: how many have no tag, counted by eye. */
  untagged: number | null;
  /** Counted out at loading. */
  loaded: number | null;
  killingOut: number | null;
}

export interface CsvAsk {
  separator: string;
  decimal: '.' | ',';
  bom: boolean;
}

/** What cannot be answered, in words that say what to do. */
export interface Unanswered {
  refused: string;
}

/** A check of the crate with a known mass. */
export interface CheckShown {
  day: string;
  time: string;
  /** What it found. */
  words: string;
}

/** A fault of a day: how often, and when by the clock on the wall. */
export interface FaultOfDay {
  day: string;
  fault: string;
  times: number;
  first: string;
  last: string;
  /** What was said with it last. */
  detail: string | null;
}

/** The day book, as the page's thread reads it. */
export interface Book {
  days: () => { day: string; farms: string[] }[];
  evening: (ask: EveningAsk) => Evening | ManyFarms | null;
  lines: (day: string | null, farm: string | null) => Line[];
  /** Animals whose tag ends so, of the farm: most often one. */
  animals: (lastDigits: string, farm: string | null) => Animal[];
  csv: (day: string | null, farm: string | null, style: CsvAsk) => string | Unanswered;
  icar: (day: string | null, farm: string | null) => object | Unanswered;
  /** A page of HTML to print. */
  sheet: (ask: SheetAsk) => string | Unanswered;
  /** The last checks with a known mass, newest first. */
  checks: (most: number) => CheckShown[];
  /** Faults of the last days that have any events, newest first. */
  faults: (days: number) => FaultOfDay[];
}

/** A module that reads the day book of a site folder. */
export interface BookModule {
  openBook: (siteDir: string) => Book;
}
