/** Does a recorded trace still give the same outputs and events? If not, where first, and why. */
import type { Config } from '../core/step.ts';
import type { Event, Input } from '../core/trace.ts';
import type { KeptRecord } from '../core/trace-codec.ts';
import { bytesDifference } from './bytes.ts';
import { play, profileOf } from './play.ts';
import type { TraceFile } from './read.ts';
import type { Produced } from './run.ts';

/** In words, and for programs. */
export interface Verdict {
  equal: boolean;
  /** Trace time of the first difference, ms; null where there is none, or none in time. */
  t: number | null;
  recorded: string | null;
  recomputed: string | null;
  /** Why it differs, as far as the trace tells; null where it is equal. */
  why: string | null;
}

const EQUAL: Verdict = { equal: true, t: null, recorded: null, recomputed: null, why: null };

/** Recomputes a recording by this version: its outputs and events, and its readings from its bytes. */
export function verifyTrace(trace: TraceFile, config: Config, version: string): Verdict {
  const { header, records } = trace;
  if (header.fank !== version) {
    const why =
      `recorded by version ${header.fank ?? 'unknown'}, this is ${version}: ` +
      'what one decides the other need not. Verify it with the version that recorded it';
    return { equal: false, t: null, recorded: header.fank ?? null, recomputed: version, why };
  }
  const { produced } = play(trace, config, 0);
  const difference = firstDifference(records, produced);
  if (difference !== null) {
    return { equal: false, ...difference, why: reasonOf(trace, produced, difference) };
  }
  const bytes = bytesDifference(trace, profileOf(header));
  if (bytes !== null) {
    const why =
      'the bytes say something else here: a reading is missing or changed, or the profile';
    const { t, recorded, decoded } = bytes;
    return { equal: false, t, recorded, recomputed: decoded, why };
  }
  if (trace.broken === 0) return EQUAL;
  return { ...EQUAL, equal: false, why: `${holes(trace)}, though nothing came of that` };
}

/** The same thing within this time is the same, come early or late, ms. */
const SHIFTED_MS = 2000;

function reasonOf(trace: TraceFile, produced: readonly Produced[], found: Difference): string {
  const before = trace.records.findLast(
    (r) => r.t <= found.t && !('output' in r || 'event' in r || 'bytes' in r || 'state' in r),
  );
  const input = before === undefined ? 'nothing' : JSON.stringify(before);
  const given = `The input before it: ${input}`;
  if (trace.broken > 0)
    return `${holes(trace)}: step was not given what it was given then. ${given}`;
  const shift = shiftOf(produced, found);
  if (shift !== null) {
    return `the same came ${Math.abs(shift)} ms ${shift > 0 ? 'later' : 'earlier'} now: an input or a late tick is missing or has another time. ${given}`;
  }
  if (found.recomputed === null) {
    return `nothing comes of the inputs here: the line does not belong here, or an input before it is missing. ${given}`;
  }
  if (found.recorded === null)
    return `the line is missing from the trace, or an input is. ${given}`;
  return `the same inputs were decided otherwise: one of them, the configuration or the program was changed. ${given}`;
}

function holes({ broken }: TraceFile): string {
  return `${broken} line(s) could not be read and were left out`;
}

/** How much later than recorded the same thing came now, ms; null where it never came near. */
function shiftOf(produced: readonly Produced[], { t, recorded }: Difference): number | null {
  if (recorded === null) return null;
  const wanted = withoutTime(recorded);
  const same = produced.find(
    (item) =>
      item.kind !== 'input' &&
      Math.abs(item.t - t) <= SHIFTED_MS &&
      withoutTime(text(item)) === wanted,
  );
  return same === undefined || same.kind === 'input' || same.t === t ? null : same.t - t;
}

function withoutTime(line: string): string {
  return line.replace(/"t":\d+,/, '');
}

interface Difference {
  t: number;
  recorded: string | null;
  recomputed: string | null;
}

/**
 * Compares what a trace recorded with what was recomputed, in order; null when equal. A recorded end
 * that was cut off within the last moment is equal.
 */
export function firstDifference(
  recorded: readonly (Input | KeptRecord)[],
  recomputed: readonly Produced[],
): Difference | null {
  const old = recorded.flatMap((r) => ('output' in r || 'event' in r ? [produced(r)] : []));
  const lastT = recorded.at(-1)?.t ?? 0;
  const made = recomputed.filter((item) => item.kind !== 'input');
  for (let i = 0; i < Math.max(old.length, made.length); i += 1) {
    const [was, is] = [old[i], made[i]];
    if (was === undefined && is !== undefined && is.t >= lastT) return null;
    if (was !== undefined && is !== undefined && text(was) === text(is)) continue;
    return {
      t: (was ?? is)?.t ?? 0,
      recorded: was === undefined ? null : text(was),
      recomputed: is === undefined ? null : text(is),
    };
  }
  return null;
}

type Made = Exclude<Produced, { kind: 'input' }>;

function produced(
  record: { t: number } & ({ output: string; on: boolean } | { event: Event }),
): Made {
  const { t } = record;
  if ('event' in record) return { kind: 'event', t, event: record.event };
  return { kind: 'output', t, output: record.output, on: record.on };
}

function text(item: Made): string {
  const { t } = item;
  return JSON.stringify(
    item.kind === 'event' ? { t, event: item.event } : { t, output: item.output, on: item.on },
  );
}
