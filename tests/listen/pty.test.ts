import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { Command } from 'commander';
import { afterEach, beforeEach, expect, it, vi } from 'vitest';
import { frame } from '../../simulator/frames.ts';
import { openPty, type Pty } from '../../simulator/pty.ts';
import { listenCommand, type AskWeight } from '../../src/cli/listen.ts';
import { runSamples } from '../../src/config/frames/samples.ts';
import { readProfile } from '../../src/config/profiles.ts';

let pty: Pty;
let folder: string;
let timer: NodeJS.Timeout;
let out = '';
let told = '';
beforeEach(() => {
  pty = openPty();
  folder = mkdtempSync(join(tmpdir(), 'fank-listen-'));
  [out, told] = ['', ''];
  vi.spyOn(process.stderr, 'write').mockImplementation((chunk) => {
    told += String(chunk);
    return true;
  });
  vi.spyOn(process.stdout, 'write').mockImplementation((chunk) => {
    out += String(chunk);
    return true;
  });
});
afterEach(() => {
  clearInterval(timer);
  pty.close();
  vi.restoreAllMocks();
  process.exitCode = 0;
  rmSync(folder, { recursive: true });
});

/** A frame every 100 ms. */
function sends(text: (count: number) => string): void {
  let count = 0;
  timer = setInterval(() => pty.write(text(count++)), 100);
}

async function listens(args: string[], askWeight: AskWeight | null = null): Promise<void> {
  const program = new Command('fank').exitOverride();
  listenCommand(program, askWeight);
  await program.parseAsync(['listen', pty.path, ...args], { from: 'user' });
}

function lastLine(): unknown {
  return JSON.parse(out.trim().split('\n').at(-1) ?? '');
}

const KGS = [...Array.from({ length: 10 }, () => 0), 4, 17.3, 30.2, 38, 40.1];

/** Something comes on and stands; in motion until a second has passed. */
function comesOn(count: number): string {
  return frame(KGS[count] ?? 41.5, count > 9 && count < 25);
}

/** The same on a line whose shape no shipped profile has. */
function comesOnOtherwise(count: number): string {
  const kg = KGS[count] ?? 41.5;
  return `|${kg.toFixed(1).padStart(8)}|${count > 9 && count < 25 ? 'QX' : 'RB'}\r`;
}

it('ends early once all is sure, sends nothing, and says just what the contract says', async () => {
  const sent: Uint8Array[] = [];
  pty.onData((bytes) => sent.push(bytes));
  sends(comesOn);
  // Without an early end the test would run out of its time.
  await listens(['--json', '--seconds', '3000']);
  const { profile, periodMs, ...others } = lastLine() as { profile: string; periodMs: number };
  expect(others).toEqual({
    ...{ sure: true, baud: null, framing: null },
    ...{ unit: 'kg', kg: 41.5, motion: true },
  });
  // A busy machine sends them later, never sooner.
  expect(periodMs).toBeGreaterThan(80);
  expect(Object.keys(lastLine() as object)).toEqual(
    'sure baud framing periodMs unit kg motion profile'.split(' '),
  );
  const read = readProfile('scale', profile, 'found.yaml');
  expect(read.ok && runSamples(read.value).every(({ expected }) => expected === null)).toBe(true);
  for (const line of out.trim().split('\n'))
    expect(() => JSON.parse(line) as unknown).not.toThrow();
  expect(sent).toEqual([]);
  expect(process.exitCode).toBe(0);
});

it('is not sure of a line that is silent', async () => {
  await listens(['--json', '--seconds', '2']);
  expect(lastLine()).toMatchObject({ sure: false, baud: null, kg: null, profile: null });
  expect(process.exitCode).toBe(1);
});

it('asks a head that speaks only when asked, with what --poll says', async () => {
  const asked: string[] = [];
  let count = 0;
  pty.onData((bytes) => {
    asked.push(Buffer.from(bytes).toString('latin1'));
    pty.write(comesOnOtherwise(count++));
  });
  await listens(['--json', '--poll', 'W\\r', '--every', '100', '--seconds', '120']);
  expect(lastLine()).toMatchObject({ sure: true, kg: 41.5, motion: true });
  expect(asked.join('').replaceAll('W\r', '')).toBe('');
  const { profile } = lastLine() as { profile: string };
  const read = readProfile('scale', profile, 'found.yaml');
  expect(read.ok && read.value.ask).toMatchObject({ send: 'W\r', everyMs: 100 });
});

it('writes the profile to --out, and is sure with --known only where that weight lies', async () => {
  sends(comesOnOtherwise);
  const file = join(folder, 'head.yaml');
  await listens(['--known', '41.5', '--seconds', '120', '--out', file]);
  expect(process.exitCode).toBe(0);
  expect(told).toContain('Confirmed with the 41.5 kg that were put on.');
  const read = readProfile('scale', readFileSync(file, 'utf8'), file);
  expect(read.ok && runSamples(read.value).every(({ expected }) => expected === null)).toBe(true);
  await listens(['--known', '20', '--seconds', '3']);
  expect(process.exitCode).toBe(1);
  expect(told).toContain('20 kg was to lie on the platform, and no such reading came');
});

it('shows a person the raw bytes beside the reading, and confirms with the weight they name', async () => {
  sends(comesOnOtherwise);
  await listens(['--seconds', '120'], () => Promise.resolve(41.5));
  expect(told).toMatch(/\|RB\\r.* 41\.5 kg steady/);
  expect(told).toContain('Confirmed with the 41.5 kg that were put on.');
  expect(process.exitCode).toBe(0);
});
