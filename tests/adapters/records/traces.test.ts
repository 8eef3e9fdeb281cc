/** What of a trace is in its file already, the moment after a line was pushed. */
import { mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { HEADER as header } from './example.ts';
import { keepOf, openTraces, type Traces } from '../../../src/adapters/records/traces.ts';
import type { TraceMessage } from '../../../src/adapters/records/messages.ts';

let siteDir = '';
let traces: Traces;
beforeEach(() => {
  siteDir = mkdtempSync(join(tmpdir(), 'fank-traces-'));
  const options = { siteDir, zone: 'UTC', version: '0', header, state: {}, resume: null };
  traces = openTraces({ ...options, maxTraceBytes: 1e6, slowMs: 0 }, () => undefined);
});
afterEach(() => {
  traces.close();
  rmSync(siteDir, { recursive: true, force: true });
});

const line = (record: object): TraceMessage => ({ kind: 'line', record });

/** Records on the card after one turn of the writer, which has no time to write what is left over. */
function kept(...records: object[]): number {
  for (const [seq, record] of records.entries()) traces.push(seq, line(record));
  traces.write(false);
  const [name = ''] = readdirSync(join(siteDir, 'traces'));
  const text = readFileSync(join(siteDir, 'traces', name), 'utf8');
  return text.trimEnd().split('\n').length - 2;
}

const reading = { t: 1, kg: 0 };

test('readings wait for their block', () => {
  expect(kept(reading, reading)).toBe(0);
});

test.each([
  ['a fault', { t: 2, event: { kind: 'fault', fault: 'rail-dead', on: true } }, 'synced'],
  ['a stop', { t: 2, event: { kind: 'mode', mode: 'stopped', why: 'stop' } }, 'synced'],
  ['a person’s mark', { t: 2, command: { do: 'mark' } }, 'synced'],
  ['the end of a crossing', { t: 2, event: { kind: 'left', crossing: {} } }, 'written'],
])('%s is written at once, with all that led to it', (_what, record, how) => {
  expect(keepOf(line(record))).toBe(how);
  expect(kept(reading, reading, record)).toBe(3);
});
