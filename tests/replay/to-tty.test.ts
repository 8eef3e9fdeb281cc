/** A trace imitates its weigh head: what is heard at the port, by a real serial reader, is what was recorded. */
import { mkdtempSync, rmSync, existsSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, expect, test } from 'vitest';
import { frame } from '../../simulator/frames.ts';
import { openSerialScale } from '../../src/adapters/scale/serial.ts';
import { playToTty } from '../../src/cli/replay-tty.ts';
import { profileOf } from '../../src/replay/play.ts';
import type { TraceFile } from '../../src/replay/read.ts';

const folder = mkdtempSync(join(tmpdir(), 'fank-to-tty-'));
afterAll(() => {
  rmSync(folder, { recursive: true, force: true });
});
const header: TraceFile['header'] = {
  trace: 1,
  startedAt: null,
  scale: { divisionKg: 0.1, rateHz: 10 },
  inputs: [],
};
const of = (records: TraceFile['records']): TraceFile => {
  return { file: 'a.trace.ndjson', header, records, notes: [], broken: 0 };
};

test('frames come out at the port at their own pace, and the name goes with them', async () => {
  const sent = Array.from({ length: 25 }, (_, i) => 30 + i / 10);
  const records = sent.map((kg, i) => {
    return { t: 40 * i, bytes: Buffer.from(frame(kg, false), 'latin1').toString('base64') };
  });
  const path = join(folder, 'head');
  const played = playToTty(of(records), path);
  expect(existsSync(path)).toBe(true);
  const profile = profileOf(header);
  if (profile === null) throw new Error('the shipped profile is missing');
  const heard: { kg: number | null; at: number }[] = [];
  const scale = openSerialScale({
    path,
    profile,
    now: () => Math.round(performance.now()),
    onBytes: () => undefined,
    onReading: ({ kg }) => heard.push({ kg, at: performance.now() }),
    onLink: () => undefined,
    onNote: () => undefined,
  });
  await played;
  await scale.close();
  expect(existsSync(path)).toBe(false);
  const kgs = heard.map(({ kg }) => kg);
  // A port that opens late on a busy machine misses the first ones, never one between.
  expect(kgs.length).toBeGreaterThanOrEqual(10);
  expect(kgs).toEqual(sent.slice(-kgs.length));
  // Never faster than they came: 24 steps of 40 ms.
  const span = (heard.at(-1)?.at ?? 0) - (heard[0]?.at ?? 0);
  expect(span).toBeGreaterThan(40 * (kgs.length - 1) - 60);
});

test('a trace with nothing to play, and a name that is taken, are refused in words', async () => {
  await expect(playToTty(of([]), null)).rejects.toThrow(/neither bytes nor readings/);
  const taken = join(folder, 'taken');
  writeFileSync(taken, '');
  await expect(playToTty(of([{ t: 0, kg: 1 }]), taken)).rejects.toThrow(/is there already/);
});
