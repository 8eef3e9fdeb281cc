import type { Exit, KnownFacts, Mark, Rule } from '../trace.ts';

/** Where an animal goes that no rule could place: kept on the crate, an exit, or a lot. */
export type Way = 'hold' | { exit: Exit } | { lot: string };

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
}

/** A sort plan, resolved: the grammar of the YAML file with tag lists read in. */
export interface Plan {
  name: string;
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
  allowUnsureToSlaughter?: boolean;
}

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
  known: KnownFacts | null;
  /** The exit the operator named, or null. */
  byHand: Exit | null;
  marks: Mark[];
  /** ms since the animal was fully on, for the reason in words. */
  afterMs: number;
  /** Lot decided before, kept while the weight is within the hysteresis of the cut. */
  previousLot: string | null;
}

/** Head per lot so far in this session. */
export type Counts = Record<string, number>;

/** What the plan says; `exit` null means hold on the crate and call. */
export interface Decision {
  lot: string | null;
  exit: Exit | null;
  rule: Rule;
  reason: string;
  flags: string[];
}
