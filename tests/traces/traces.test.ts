/**
 * Every trace in this folder is a test: it is replayed, and lots, exits, rules, flags and faults must be
 * those of its `*.expected.json`, weights within its tolerance. Bits are never compared here.
 */
import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { gzipSync } from 'node:zlib';
import { describe, expect, test } from 'vitest';
import { parseTrace, readTrace } from '../../src/replay/read.ts';
import { outcomeOf, type Expected } from './expected.ts';

const TRACE = /[.]trace[.]ndjson([.]gz)?$/;
const names = readdirSync(import.meta.dirname).filter((name) => TRACE.test(name));
const path = (name: string): string => join(import.meta.dirname, name);

test('there are traces to be tried', () => {
  expect(names.length).toBeGreaterThan(2);
});

describe.each(names)('%s', (name) => {
  test('gives the lots, exits, rules and faults that are expected', () => {
    const file = path(name.replace(TRACE, '.expected.json'));
    const expected = JSON.parse(readFileSync(file, 'utf8')) as Expected;
    const outcome = outcomeOf(path(name));
    const bare = ({ animals }: Expected): unknown => animals.map((one) => ({ ...one, kg: null }));
    expect(bare(outcome)).toEqual(bare(expected));
    expect(outcome.faults).toEqual(expected.faults);
    for (const [i, { kg }] of expected.animals.entries()) {
      const is = outcome.animals[i]?.kg ?? null;
      if (kg === null) expect(is).toBeNull();
      else expect(Math.abs((is ?? 0) - kg)).toBeLessThanOrEqual(expected.toleranceKg);
    }
  });

  test('cut at every byte of its last record it still loads, with all that came before', () => {
    const text = readFileSync(path(name), 'utf8').trimEnd();
    const whole = parseTrace(name, text);
    const last = text.lastIndexOf('\n') + 1;
    for (let cut = last; cut < text.length; cut += 1) {
      const { records, broken, notes } = parseTrace(name, text.slice(0, cut));
      expect(records.length, `cut at ${cut}`).toBe(whole.records.length - 1);
      expect(broken).toBe(0);
      expect(notes.length).toBe(whole.notes.length + (cut === last ? 0 : 1));
    }
  });
});

test('a packed trace that was cut off is read as far as it goes', () => {
  const folder = mkdtempSync(join(tmpdir(), 'fank-cut-'));
  const text = readFileSync(path(names[0] ?? ''), 'utf8');
  const packed = gzipSync(text);
  const file = join(folder, 'cut.trace.ndjson.gz');
  try {
    for (const share of [0.99, 0.9, 0.6]) {
      writeFileSync(file, packed.subarray(0, Math.floor(packed.length * share)));
      const { records, broken } = readTrace(file);
      expect(records.length).toBeGreaterThan(10);
      expect(broken).toBe(0);
    }
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
});
