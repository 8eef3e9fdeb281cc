/** What a trace tells of crate, line, gate and battery, as lines of `fank check`. */
import { createDecoder } from '../config/frames/decode.ts';
import { diagnose } from '../diagnosis/diagnose.ts';
import type { Finding } from '../diagnosis/finding.ts';
import type { BytesCount } from '../diagnosis/line.ts';
import { profileOf } from '../replay/play.ts';
import { readTrace, type TraceFile } from '../replay/read.ts';
import { bad, good, type Check } from './check-line.ts';

/**
 * The findings of one trace; where it has only bytes its readings are not looked at.
 * @param knownKg a mass that stood on the crate during the trace, kg.
 */
export function diagnoseTrace(trace: TraceFile, knownKg: number | null): Finding[] {
  const { header, records } = trace;
  return diagnose({ header, records, bytes: countBytes(trace), knownKg });
}

function countBytes(trace: TraceFile): BytesCount | null {
  const profile = profileOf(trace.header);
  if (profile === null || !trace.records.some((r) => 'bytes' in r)) return null;
  const decoder = createDecoder(profile);
  for (const record of trace.records) {
    if ('bytes' in record) decoder.push(Buffer.from(record.bytes, 'base64'));
  }
  const { frames, noise } = decoder;
  return { frames, noise };
}

/** One line a finding, or one that says that nothing was found. @throws Error in words. */
export function traceChecks(file: string, knownKg: number | null): Check[] {
  const found = diagnoseTrace(readTrace(file), knownKg);
  if (found.length === 0) {
    return [good('trace', `${file}: nothing wrong to be seen`)];
  }
  return findingChecks(found);
}

/** One line a finding, with its number, likely cause and remedy. */
export function findingChecks(found: readonly Finding[]): Check[] {
  return found.map(({ name, said, what, cause, remedy }) =>
    bad(name, `${what} ${said}. Likely: ${cause}`.replace(/[.]$/, ''), remedy),
  );
}
