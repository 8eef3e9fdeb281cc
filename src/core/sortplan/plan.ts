import type { Exit, KnownFacts, Mark, Rule } from '../trace.ts';

/** Where an animal goes that no rule could place: kept on the crate, an exit, or a lot. */
export type Way = 'hold' | { exit: Exit } | { lot: string };

/** The kinds of work; `weigh-only` and `count-only` move no leaf, `sort-only` and `count-only` need no weight. */
export type Work = 'weigh-and-sort' | 'weigh-only' | 'sort-only' | 'count-only';

export interface Lot {
  /** Animals going to one place. */
  name: string;
  exit: Exit;
  /** A weight below this belongs here, kg; the last lot has none. */
  belowKg?: number;
  forSlaughter?: boolean;
  /** Head that fit. */
  capacity?: number;
  whenFull?: 'stop' | { overflow: string };
  /** Outside the order of weights: only a list, a mark, a split, an overflow or a hand sends here. */
  aside?: boolean;
  /** Lots that share this one's animals evenly, each animal to the one with the fewest head. */
  splitWith?: string[];
  /** Colour to spray, told to the operator. */
  mark?: string;
  /** Day on which a lot for slaughter is killed, YYYY-MM-DD; today if there is none. */
  killOn?: string;
}

/** Daily gain since the last weighing; the first rule that is surely met decides. */
export interface GainPlan {
  /** A last weighing nearer than this many days is too recent to say anything. */
  leastDays: number;
  rules: { belowGramsPerDay?: number; fromGramsPerDay?: number; lot: string }[];
}

/** One condition on a mark; without `is`, `from`, `to` the mark has only to be given. */
export interface MarkCondition {
  mark: string;
  is?: string | number | boolean;
  /** At least. */
  from?: number;
  /** At most. */
  to?: number;
}

/** All conditions together, and the weight where one is named, send the animal to the lot. */
export interface MarkRule {
  when: MarkCondition[];
  fromKg?: number;
  belowKg?: number;
  lot: string;
}

/** What the medicine record says of the session's mob, looked up when the session's plan is resolved. */
export interface MobMedicine {
  /** A treatment of this mob is open on the kill date: no tag, or an unread one, counts as treated. */
  untaggedHeld: boolean;
  /** First day on which all of them are free, YYYY-MM-DD, or null where it is unclear. */
  freeOn: string | null;
  /** Colour marks whose treatment is open, with the first free day. */
  colours: { colour: string; freeOn: string | null }[];
}

/** A sort plan, resolved: the grammar of the YAML file with tag lists read in. */
export interface Plan {
  name: string;
  /** `weigh-and-sort` where nothing is said. */
  work?: Work;
  /** Name of the mob that treatments are looked up for. */
  mob?: string;
  animals: { fromKg: number; toKg: number };
  lots: Lot[];
  decide: {
    hysteresisKg: number;
    settle?: { withinKg: number; forMs: number };
    confidence?: number;
    callAfterMs: number;
  };
  unsure: Way;
  tags?: {
    lists: { file: string; lot: string }[];
    withdrawal: Exclude<Way, 'hold'>;
    unread: Way;
  };
  gain?: GainPlan;
  marks?: { offer: string[]; rules: MarkRule[] };
  allowUnsureToSlaughter?: boolean;
  /** Filled in when a session's plan is resolved; never written in the file. */
  medicine?: MobMedicine;
}

/** Facts that came with the tag; the free day is said when a hand is refused. */
export type TagFacts = KnownFacts & { freeOn?: string | null };

/** What is known of the animal at this moment. */
export interface AnimalFacts {
  /** Weight to 0.01 kg, or null where there is none to be used. */
  kg: number | null;
  /** Standard uncertainty, kg. */
  uKg: number | null;
  /** How the weight was found good enough, or null while it is not. */
  basis: 'settled' | 'sure' | null;
  /** Why the animal is not sure (call time passed, something looks wrong), or null. */
  unsure: string | null;
  tag: string | null;
  known: TagFacts | null;
  /** The exit the operator named, or null. */
  byHand: Exit | null;
  marks: Mark[];
  /** ms since the animal was fully on, for the reason in words. */
  afterMs: number;
  /** Lot decided before, kept while the weight is within the hysteresis of the cut. */
  previousLot: string | null;
  /** No reader is there, or the operator carries on without tags: nothing waits for a tag. */
  tagsOff?: boolean;
}

/** Head per lot so far in this session. */
export type Counts = Record<string, number>;

/** What the plan says; `exit` null means hold on the crate and call, unless `stay` is set. */
export interface Decision {
  lot: string | null;
  exit: Exit | null;
  rule: Rule;
  reason: string;
  /** `by-hand-refused`, `not-of-this-mob`, `unread`, `by-mark`, `lot-full`, `nearly-full`, `over-capacity`. */
  flags: string[];
  /** Colour to spray before letting go. */
  mark?: string;
  /** No leaf moves in this kind of work: let go to where the gate stands. */
  stay?: true;
}
