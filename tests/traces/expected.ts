/**
 * What a trace comes to, in the shape of its `*.expected.json`.
 * `npx tsx tests/traces/expected.ts FILE.trace.ndjson` prints it: put right what should have happened,
 * and keep it beside the trace. From then on the trace is a test.
 */
import { defaultConfig } from '../../src/config/defaults.ts';
import { play } from '../../src/replay/play.ts';
import { readTrace } from '../../src/replay/read.ts';
import type { Produced } from '../../src/replay/run.ts';

export interface Expected {
  /** Weights may differ by so much, kg. */
  toleranceKg: number;
  animals: {
    lot: string | null;
    exit: string | null;
    rule: string | null;
    kg: number | null;
    unsure: boolean;
    flags: string[];
  }[];
  /** Names of the faults in the order in which they first came. */
  faults: string[];
}

const TOLERANCE_KG = 0.2;
/** Ticks go on this long past the last record, too short for its end to be taken for a silence, ms. */
const PAST_MS = 100;

export function outcomeOf(file: string): Expected {
  const trace = readTrace(file);
  const config = trace.header.config ?? defaultConfig(trace.header);
  const { animals, produced } = play(trace, config, PAST_MS);
  return {
    toleranceKg: TOLERANCE_KG,
    animals: animals.map(({ lot, exit, rule, recordedKg, decisionKg, unsure, flags }) => {
      return { lot, exit, rule, kg: recordedKg ?? decisionKg, unsure, flags };
    }),
    faults: [...new Set(produced.flatMap(faultOf))],
  };
}

function faultOf(item: Produced): string[] {
  if (item.kind !== 'event' || item.event.kind !== 'fault' || !item.event.on) return [];
  return [item.event.fault];
}

if (process.argv[1] === import.meta.filename) {
  const file = process.argv[2];
  if (file === undefined) throw new Error('Name a trace: expected.ts FILE.trace.ndjson');
  process.stdout.write(`${JSON.stringify(outcomeOf(file), null, 2)}\n`);
}
