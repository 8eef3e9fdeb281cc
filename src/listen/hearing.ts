/** A search of a line, for whoever shows it: what was heard so far, and what it says. */
import { infer, type Finding, type InferOptions } from './infer.ts';
import { createScan, type Found, type HeardByte, type Scan } from './scan.ts';

export interface Hearing {
  scan: Scan;
  /** What was heard until now says this. */
  finding(options: InferOptions): Finding;
  /** The port is to be opened again; what came until now stays. */
  again(): void;
}

/** What came last, for a person: the raw bytes and what they read as so far. */
export interface LastHeard {
  /** Characters, control characters as `\r` and the like. */
  raw: string;
  kg: number | null;
  /** Null where the head does not tell. */
  motion: boolean | null;
}

/** Most bytes that are looked at: half a minute of a fast line. */
export const MOST_BYTES = 20_000;
const RAW_BYTES = 24;

export function createHearing(): Hearing {
  const scan = createScan();
  let before: HeardByte[] = [];
  return {
    scan,
    finding(options) {
      const found = scan.found();
      return inferLatest({ ...found, text: [...before, ...found.text] }, options);
    },
    again() {
      before = [...before, ...scan.found().text].slice(-MOST_BYTES);
    },
  };
}

/** What the line says, by what came last. */
export function inferLatest(found: Found, options: InferOptions): Finding {
  return infer({ ...found, text: found.text.slice(-MOST_BYTES) }, options);
}

export function lastHeard(heard: readonly HeardByte[], { readings }: Finding): LastHeard {
  const bytes = heard.slice(-RAW_BYTES).map(({ byte }) => byte);
  const reading = readings.at(-1);
  const text = JSON.stringify(String.fromCharCode(...bytes));
  return { raw: text.slice(1, -1), kg: reading?.kg ?? null, motion: reading?.motion ?? null };
}
