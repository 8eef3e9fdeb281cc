/** What the page's thread sees of the search of a line, which is another module than it knows. */

import type { HeardLine, Question } from '../fitting/view.ts';

/** What was found so far. Plain JSON. */
export interface SearchShown {
  /** The port is listened to now. */
  on: boolean;
  /** How the port is open, such as `9600 8N1`. */
  opening: string | null;
  /** The bytes that came last, control characters written as `\r` and the like. */
  raw: string;
  /** What they read as so far. */
  kg: number | null;
  motion: boolean | null;
  sure: boolean;
  /** Null where not known, or where the line is alike at every speed. */
  baud: number | null;
  framing: string | null;
  everySpeed: boolean;
  periodMs: number | null;
  unit: string | null;
  /** The last weight at rest. */
  steadyKg: number | null;
  /** The weight that a person says lies there, and whether it was read as that. */
  knownKg: number | null;
  confirmed: boolean;
  evidence: string[];
  /** Why it is not sure, each with the next thing to try. */
  doubts: string[];
  /** YAML. */
  profile: string | null;
  /** The port could not be opened. */
  trouble: string | null;
}

export interface LineSearch {
  /** What came on the line since the last time. */
  hear(line: HeardLine): void;
  /** How many bytes of it were taken. */
  taken(): number;
  shown(): SearchShown;
  /** So many kilograms lie on the crate now. */
  known(kg: number): void;
}

/** What the module must export that the daemon names to the page's thread. */
export interface SearchModule {
  /** @param ask what the head is asked with; null where it speaks by itself */
  createSearch: (ask: Question | null) => LineSearch;
}
