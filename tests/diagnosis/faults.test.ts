/**
 * Each fault is injected into a simulated morning; the trace that it leaves verifies, and its diagnosis
 * names the cause. `docs/diagnosis.md` is compared with the table.
 */
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, test } from 'vitest';
import { diagnoseTrace } from '../../src/cli/check-trace.ts';
import { version } from '../../src/cli/version.ts';
import type { Config } from '../../src/core/step.ts';
import { CAUSES } from '../../src/diagnosis/table.ts';
import { readTrace, type TraceFile } from '../../src/replay/read.ts';
import { verifyTrace } from '../../src/replay/verify.ts';
import { faults } from './faults.ts';
import { diagnosisPage } from './page.ts';
import { morning, type Wrong } from './workshop.ts';

const folder = mkdtempSync(join(tmpdir(), 'fank-diagnosis-'));
afterAll(() => {
  rmSync(folder, { recursive: true, force: true });
});

function traceOf(wrong: Wrong): TraceFile {
  const file = join(folder, 'morning.trace.ndjson');
  writeFileSync(file, morning(wrong));
  return readTrace(file);
}

const MORNINGS: [string, number][] = [
  ['three-way-switched', 1],
  ['three-way', 2],
  ['two-way', 3],
  ['five-way', 4],
  ['four-way', 5],
];
const PROOF = process.env['FANK_PROOF'] === '1';

describe('a fault leaves a trace that verifies and whose diagnosis names the cause', () => {
  // Where the core itself names the cause, as tests/harm and tests/wires show too, once in a while is enough.
  const tried = faults.filter(({ found }) => found in CAUSES || PROOF);
  test.each(tried)('$fault: $found', ({ wrong, found, cause }) => {
    const trace = traceOf(wrong);
    const verdict = verifyTrace(trace, trace.header.config as Config, version());
    expect(verdict).toMatchObject({ equal: true, why: null });
    const findings = diagnoseTrace(trace, wrong.past?.knownKg ?? null);
    const named = findings.find(({ name }) => name === found);
    expect(findings.map(({ name }) => name)).toContain(found);
    expect(named?.cause).toMatch(cause);
    expect(named?.said).toMatch(/\d/);
  });
});

describe('where nothing is wrong nothing is found', () => {
  test.each(PROOF ? MORNINGS : MORNINGS.slice(0, 2))('%s, seed %d', (gate, seed) => {
    expect(diagnoseTrace(traceOf({ gate, seed }), null)).toEqual([]);
  });
});

test('the page about diagnosis says what the tables say', () => {
  const page = readFileSync(join(import.meta.dirname, '../../docs/diagnosis.md'), 'utf8');
  expect(page).toBe(diagnosisPage());
});
