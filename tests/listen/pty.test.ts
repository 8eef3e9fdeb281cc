import { Command } from 'commander';
import { afterEach, beforeEach, expect, it, vi } from 'vitest';
import { frame } from '../../simulator/frames.ts';
import { openPty, type Pty } from '../../simulator/pty.ts';
import { listenCommand } from '../../src/cli/listen.ts';
import { runSamples } from '../../src/config/frames/samples.ts';
import { readProfile } from '../../src/config/profiles.ts';

let pty: Pty;
let timer: NodeJS.Timeout;
beforeEach(() => {
  pty = openPty();
});
afterEach(() => {
  clearInterval(timer);
  pty.close();
  vi.restoreAllMocks();
  process.exitCode = 0;
});

/** Runs the command on the pty while `text` gives a frame every 100 ms; its last JSON line. */
async function listens(text: (count: number) => string, seconds: number): Promise<unknown> {
  let out = '';
  vi.spyOn(process.stderr, 'write').mockReturnValue(true);
  vi.spyOn(process.stdout, 'write').mockImplementation((chunk) => {
    out += String(chunk);
    return true;
  });
  let count = 0;
  timer = setInterval(() => pty.write(text(count++)), 100);
  const program = new Command('fank').exitOverride();
  listenCommand(program);
  await program.parseAsync(['listen', pty.path, '--json', '--seconds', String(seconds)], {
    from: 'user',
  });
  return JSON.parse(out.trim().split('\n').at(-1) ?? '');
}

it('finds a head on a line that is alike at every speed, and sends nothing', async () => {
  const sent: Uint8Array[] = [];
  pty.onData((bytes) => sent.push(bytes));
  const kgs = [...Array.from({ length: 10 }, () => 0), 4, 17.3, 30.2, 38, 40.1];
  const found = await listens((count) => frame(kgs[count] ?? 41.5, count > 9 && count < 25), 5);
  expect(found).toMatchObject({ sure: true, baud: null, framing: null, unit: 'kg', kg: 41.5 });
  expect(found).toMatchObject({ motion: true, profile: expect.any(String) as string });
  const { profile, periodMs } = found as { profile: string; periodMs: number };
  expect(Math.abs(periodMs - 100)).toBeLessThan(6);
  const read = readProfile('scale', profile, 'found.yaml');
  expect(read.ok && runSamples(read.value).every(({ expected }) => expected === null)).toBe(true);
  expect(sent).toEqual([]);
});

it('is not sure of a line that is silent', async () => {
  const found = await listens(() => '', 2);
  expect(found).toMatchObject({ sure: false, baud: null, kg: null, profile: null });
  expect(process.exitCode).toBe(1);
});
