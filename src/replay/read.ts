/** Reads a trace file into records, keeping and reporting what it does not know. */
import { readFileSync } from 'node:fs';
import { constants, gunzipSync } from 'node:zlib';
import type { Input, TraceHeader } from '../core/trace.ts';
import { parseHeader, parseLine, type KeptRecord } from '../core/trace-codec.ts';

/** A trace larger than this when unpacked is refused, bytes. */
const LARGEST = 512 * 1024 * 1024;

export interface TraceFile {
  file: string;
  header: TraceHeader;
  /** In file order: what `step` is given and what it is not. */
  records: (Input | KeptRecord)[];
  /** For people: `file:line: what, what was done about it`. */
  notes: string[];
  /** Lines that could not be read at all, besides a cut-off last one. */
  broken: number;
}

/**
 * Reads and checks one trace.
 * @throws Error with file, line and remedy when it cannot be read at all.
 */
export function readTrace(file: string): TraceFile {
  return parseTrace(file, readText(file));
}

/** The same from text that was read already; `file` is for what is said. */
export function parseTrace(file: string, text: string): TraceFile {
  const lines = text.split('\n');
  const header = parseHeader(lines[0] ?? '');
  if (typeof header === 'string') {
    throw new Error(
      `${file}:1:1: ${header}. Give a *.trace.ndjson file that begins with its header.`,
    );
  }
  const trace: TraceFile = { file, header, records: [], notes: [], broken: 0 };
  const unknown = new Map<string, number>();
  let t = 0;
  for (const [i, line] of lines.entries()) {
    if (i === 0 || line.trim() === '') continue;
    const parsed = parseLine(line);
    const where = `${file}:${i + 1}:1`;
    if (parsed.kind === 'broken') {
      const cut = i === lines.length - 1;
      trace.notes.push(`${where}: ${cut ? 'the last line is cut off' : parsed.problem}; left out`);
      if (!cut) trace.broken += 1;
    } else if (parsed.kind === 'unknown') {
      const kind = Object.keys(JSON.parse(line) as object).join(',');
      unknown.set(kind, (unknown.get(kind) ?? 0) + 1);
    } else if (parsed.record.t < t) {
      trace.notes.push(`${where}: t goes back from ${t} to ${parsed.record.t}; left out`);
      trace.broken += 1;
    } else {
      t = parsed.record.t;
      trace.records.push(parsed.record);
    }
  }
  for (const [kind, count] of unknown) {
    trace.notes.push(`${file}: ${count} record(s) of an unknown kind {${kind}}; left out`);
  }
  return trace;
}

function readText(file: string): string {
  try {
    const bytes = readFileSync(file);
    const packed = bytes[0] === 0x1f && bytes[1] === 0x8b;
    if (!packed) return bytes.toString('utf8');
    // A packed file that was cut off, as on a stick pulled out too soon, is read as far as it goes.
    const options = { maxOutputLength: LARGEST, finishFlush: constants.Z_SYNC_FLUSH };
    return gunzipSync(bytes, options).toString('utf8');
  } catch (error) {
    const why = error instanceof Error ? error.message : String(error);
    throw new Error(`${file}: cannot be read: ${why}. Check the name and the rights.`, {
      cause: error,
    });
  }
}
