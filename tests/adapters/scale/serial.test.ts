import { mkdtempSync, readdirSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { frame } from '../../../simulator/frames.ts';
import { openPty, stableName } from '../../../simulator/pty.ts';
import type { Pty, StableName } from '../../../simulator/pty.ts';
import { openSerialScale } from '../../../src/adapters/scale/serial.ts';
import type { Scale } from '../../../src/adapters/scale/port.ts';
import type { ReadingInput } from '../../../src/core/trace.ts';
import { shippedScale } from '../../config/frames/shipped.ts';

/** A real tty needs real time; each wait ends as soon as what it waits for is there. */
async function until(what: string, ready: () => boolean, mostMs = 5000): Promise<number> {
  const begin = performance.now();
  while (!ready()) {
    if (performance.now() - begin > mostMs) throw new Error(`waited in vain: ${what}`);
    await new Promise((resolve) => setTimeout(resolve, 2));
  }
  return performance.now() - begin;
}

interface Bench {
  scale: Scale;
  readings: ReadingInput[];
  links: { up: boolean; reason: string }[];
  notes: string[];
  bytes: number;
}

const now = (): number => Math.round(performance.now());
let folder: string;
let name: StableName;
let ptys: Pty[];
let open: Scale[];

beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'fank-scale-'));
  name = stableName(join(folder, 'weigh-head'));
  ptys = [];
  open = [];
});

afterEach(async () => {
  await Promise.all(open.map((scale) => scale.close()));
  for (const pty of ptys) pty.close();
  rmSync(folder, { recursive: true });
});

function plug(): Pty {
  const pty = openPty();
  ptys.push(pty);
  name.pointAt(pty.path);
  return pty;
}

function bench(profile = shippedScale('plain-continuous'), path = name.path): Bench {
  const it: Omit<Bench, 'scale'> = { readings: [], links: [], notes: [], bytes: 0 };
  const scale = openSerialScale({
    path,
    profile,
    now,
    onBytes: (_, bytes) => (result.bytes += bytes.length),
    onReading: (reading) => it.readings.push(reading),
    onLink: (up, reason) => it.links.push({ up, reason }),
    onNote: (text) => it.notes.push(text),
  });
  open.push(scale);
  const result: Bench = { scale, ...it };
  return result;
}

/** Writes frames until a reading of that weight has come; gives the ms that it took. */
async function weighs(pty: Pty, it: Bench, kg: number): Promise<number> {
  const before = it.readings.length;
  return until(`a reading of ${kg} kg`, () => {
    pty.write(frame(kg, false));
    return it.readings.slice(before).some((reading) => reading.kg === kg);
  });
}

describe('a weigh head that speaks by itself', () => {
  test('gives readings with the time of their last byte, and all bytes', async () => {
    const pty = plug();
    const it = bench();
    await weighs(pty, it, 41.5);
    const reading = it.readings.at(-1);
    expect(reading).toEqual({ t: reading?.t, kg: 41.5, motion: false });
    expect(Number.isInteger(reading?.t)).toBe(true);
    expect(it.links).toEqual([{ up: true, reason: 'whole frames arrive' }]);
    expect(it.bytes).toBeGreaterThanOrEqual(18);
    expect(it.scale.health()).toMatchObject({ up: true, opened: 1, net: false });
  });

  test('cut in mid-frame and given back under the same name: down, then back in 2 s', async () => {
    const first = plug();
    const it = bench();
    await weighs(first, it, 41.5);
    first.write('ST,GS,+   4');
    await new Promise(setImmediate);
    name.remove();
    first.close();
    await until('link down', () => !it.scale.health().up);
    // A hang-up that falls into a read is not told by the port; then silence decides.
    expect(it.links.at(-1)?.reason).toMatch(/went away|No whole frame/);
    const second = plug();
    second.write('1.5kg\r\n');
    expect(await weighs(second, it, 38)).toBeLessThan(2000);
    expect(it.links.map(({ up }) => up)).toEqual([true, false, true]);
    expect(new Set(it.readings.map(({ kg }) => kg))).toEqual(new Set([41.5, 38]));
  });

  test('silence decides, though the port stays open', async () => {
    const pty = plug();
    const it = bench({ ...shippedScale('plain-continuous'), silenceMs: 150 });
    await weighs(pty, it, 41.5);
    await until('link down', () => !it.scale.health().up);
    expect(it.links.at(-1)?.reason).toMatch(/No whole frame|Nothing came/);
    await weighs(pty, it, 42);
    expect(it.scale.health()).toMatchObject({ up: true });
  });

  test('bytes that are no frames are no sign of life, and the reason says so', async () => {
    const pty = plug();
    const it = bench({ ...shippedScale('plain-continuous'), silenceMs: 100 });
    await until('link down', () => {
      pty.write('\xff\xfe?garbage\r\n');
      return it.links.length > 0;
    });
    expect(it.links).toEqual([{ up: false, reason: it.links[0]?.reason }]);
    expect(it.links[0]?.reason).toMatch(/speed, framing and profile/);
    expect(it.readings).toEqual([]);
  });

  test('a port that is not there is waited for', async () => {
    const it = bench();
    await until('trouble', () => it.links.length > 0);
    expect(it.links[0]?.reason).toMatch(/is not there\. Check the cable/);
    await weighs(plug(), it, 41.5);
    expect(it.links.map(({ up }) => up)).toEqual([false, true]);
  });

  test('a port that is taken names the program that holds it', async () => {
    const pty = plug();
    const holder = bench();
    await weighs(pty, holder, 41.5);
    const it = bench();
    await until('trouble', () => it.links.length > 0);
    expect(it.links[0]?.reason).toContain(`(process ${process.pid}, this one)`);
  });

  test('closing while the port is being opened ends it', async () => {
    plug();
    const it = bench();
    await it.scale.close();
    await new Promise((resolve) => setTimeout(resolve, 50));
    expect(it.links).toEqual([]);
  });
});

describe('a weigh head that is asked', () => {
  const profile = shippedScale('scp-0499-asked');
  const fast = { send: '\nW\r', everyMs: 20, timeoutMs: 40, retries: 2 };

  test('answers each question with one reading', async () => {
    const pty = plug();
    let questions = 0;
    pty.onData((bytes) => {
      questions += Buffer.from(bytes).toString('latin1').split('\nW\r').length - 1;
      pty.write('\n 1G        41.5kg \r');
    });
    const it = bench({ ...profile, ask: fast });
    await until('five readings', () => it.readings.length >= 5);
    expect(it.readings[0]).toMatchObject({ kg: 41.5, motion: false });
    expect(questions).toBeGreaterThanOrEqual(5);
    expect(questions).toBeLessThanOrEqual(it.readings.length + 1);
  });

  test('a lost answer is asked for again; too many and the port is opened anew', async () => {
    const pty = plug();
    let questions = 0;
    let silent = false;
    pty.onData(() => {
      questions += 1;
      if (!silent && questions % 2 === 0) pty.write('\n 1G        41.5kg \r');
    });
    const it = bench({ ...profile, ask: fast, silenceMs: 5000 });
    await until('three readings', () => it.readings.length >= 3);
    expect(it.links).toEqual([{ up: true, reason: 'whole frames arrive' }]);
    silent = true;
    await until('link down', () => it.links.length > 1);
    expect(it.links[1]?.reason).toMatch(/did not answer 3 questions/);
    silent = false;
    await until('link up', () => it.links.length > 2);
    expect(it.scale.health().opened).toBeGreaterThan(1);
  });
});

test('100 unplugs and replugs in mid-frame: each back within 2 s, nothing leaks', async () => {
  let pty = plug();
  const it = bench({ ...shippedScale('plain-continuous'), silenceMs: 300 });
  await weighs(pty, it, 41.5);
  const descriptors = (): number => readdirSync('/proc/self/fd').length;
  const before = descriptors();
  const times: number[] = [];
  for (let i = 0; i < 100; i++) {
    pty.write(frame(500, false).slice(0, 1 + (i % 17)));
    name.remove();
    pty.close();
    // Every other time it is back before anybody could notice.
    if (i % 2 === 0) await until('link down', () => !it.scale.health().up);
    pty = plug();
    times.push(await weighs(pty, it, 20 + i));
  }
  times.sort((a, b) => a - b);
  const at = (part: number): string => (times[Math.floor(part * 99)] ?? NaN).toFixed(0);
  const untold = it.links.filter(({ reason }) => reason.startsWith('No whole frame')).length;
  console.info(
    `ms until back: median ${at(0.5)}, 90 % ${at(0.9)}, worst ${at(1)}; silence decided ${untold} of 100`,
  );
  expect(times.at(-1)).toBeLessThan(2000);
  expect(it.readings.filter(({ kg }) => kg === 500)).toEqual([]);
  expect(it.links).toHaveLength(201);
  expect(descriptors()).toBeLessThanOrEqual(before);
});
