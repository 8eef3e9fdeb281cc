import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { Command } from 'commander';
import { afterEach, beforeEach, expect, test, vi } from 'vitest';
import { profileCommand } from '../../src/cli/profile.ts';

const shipped = join(import.meta.dirname, '../../hardware-profiles');
let folder: string;
let out: string;
let err: string;

beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'fank-profile-'));
  [out, err] = ['', ''];
  vi.spyOn(process.stdout, 'write').mockImplementation((text) => ((out += String(text)), true));
  vi.spyOn(process.stderr, 'write').mockImplementation((text) => ((err += String(text)), true));
});

afterEach(() => {
  vi.restoreAllMocks();
  process.exitCode = undefined;
  rmSync(folder, { recursive: true });
});

function run(...args: string[]): number {
  const program = new Command('fank');
  profileCommand(program);
  program.parse(['profile', ...args], { from: 'user' });
  return Number(process.exitCode);
}

/** The shipped profile with something changed, in a file of its own. */
function changed(from: string, to: string): string {
  const text = readFileSync(join(shipped, 'scales/plain-continuous.yaml'), 'utf8');
  expect(text).toContain(from);
  const file = join(folder, 'mine.yaml');
  writeFileSync(file, text.replace(from, to));
  return file;
}

test('a shipped profile: every sample with what it reads as', () => {
  expect(run(join(shipped, 'scales/plain-continuous.yaml'))).toBe(0);
  expect(out).toContain('ok     "ST,GS,+   41.5kg\\r\\n"  41.5 kg, steady, gross\n');
  expect(err).toMatch(/all 15 samples read as they should/);
});

test('a sample that reads as something else is named with its place', () => {
  const file = changed('reads: { kg: 41.5,', 'reads: { kg: 41.6,');
  expect(run(file)).toBe(1);
  expect(err).toContain(
    `${file}:19:5: this frame reads as 41.5 kg, steady, gross, not as 41.6 kg, steady, gross. Correct`,
  );
  expect(err).toMatch(/1 of 15 samples are wrong/);
});

test('a bad frame that gives a weight is wrong', () => {
  const file = changed('bad:\n', 'bad:\n  - "ST,GS,+   41.5kg\\r\\n"\n');
  expect(run('--json', file)).toBe(1);
  const lines = out.trim().split('\n');
  const wrong = lines.map((line) => JSON.parse(line) as { ok: boolean }).filter(({ ok }) => !ok);
  expect(wrong).toMatchObject([{ path: 'bad.0', expected: 'nothing' }]);
});

test.each([
  [
    'silenceMs: 1000',
    'silencMs: 1000',
    ':9:1: "silencMs" is not a setting here. Did you mean "silenceMs"?',
  ],
  ["sign: { '+': plus", "sgn: { '+': plus", 'nothing says what the field "sign" means'],
  [
    '(?<state>ST|US',
    '(?<state>S*S|US',
    ':12:12: "pattern", character 12: two ways to read "S": by "S" (character 10) and by "S" (character 12)',
  ],
  ['kg: kg, lb: lb', 'kg: kg, lb: lbs', 'Did you mean "lb"?'],
  ['framing: 8N1', 'framing: 7E1', 'Write "7E1" or "8N1" with the quotes'],
  ['end: ["\\r", "\\n"], length: same', 'length: same', 'nothing says where a frame ends'],
  ['["\\r", "\\n"]', '["\\r", "\\r\\n"]', 'begins with another end. List the single characters'],
])('%s -> %s is refused with its place', (from, to, words) => {
  expect(run(changed(from, to))).toBe(2);
  expect(err).toContain(words);
});

test('a file that is not there, and no file at all', () => {
  expect(run(join(folder, 'none.yaml'))).toBe(2);
  expect(err).toContain('the file is not there');
  expect(run()).toBe(2);
});

test('other kinds of profile are checked too', () => {
  expect(run(join(shipped, 'boards/simulated.yaml'))).toBe(0);
  expect(err).toContain('valid; it carries no samples');
});

test('the schema for editors', () => {
  expect(run('--schema')).toBe(0);
  expect(JSON.parse(out)).toEqual(
    JSON.parse(readFileSync(join(shipped, 'frames.schema.json'), 'utf8')),
  );
});
