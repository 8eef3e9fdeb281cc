import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { openPty, stableName } from '../../../simulator/pty.ts';
import type { Pty, StableName } from '../../../simulator/pty.ts';
import { openReader } from '../../../src/adapters/tags/reader.ts';
import type { Reader } from '../../../src/adapters/tags/reader.ts';
import { shippedReader } from '../../config/frames/shipped.ts';

async function until(what: string, ready: () => boolean): Promise<void> {
  const end = performance.now() + 5000;
  while (!ready()) {
    if (performance.now() > end) throw new Error(`waited in vain: ${what}`);
    await new Promise((resolve) => setTimeout(resolve, 2));
  }
}

let folder: string;
let name: StableName;
let pty: Pty;
let reader: Reader | null;
let tags: [tag: string, test: boolean][];
let links: { up: boolean; reason: string }[];
let notes: string[];
let clock: number;

beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'fank-reader-'));
  name = stableName(join(folder, 'reader'));
  pty = openPty();
  name.pointAt(pty.path);
  [tags, links, notes, clock, reader] = [[], [], [], 0, null];
});

afterEach(async () => {
  await reader?.close();
  pty.close();
  rmSync(folder, { recursive: true });
});

async function open(profile: string): Promise<Reader> {
  reader = openReader({
    path: name.path,
    profile: shippedReader(profile),
    now: () => clock,
    onBytes: () => undefined,
    onTag: (_, tag, test) => tags.push([tag, test]),
    onLink: (up, reason) => links.push({ up, reason }),
    onNote: (text) => notes.push(text),
  });
  await until('the port', () => links.at(-1)?.up === true);
  return reader;
}

async function heard(it: Reader, frames: number): Promise<void> {
  await until(`${frames} frames`, () => it.health().frames >= frames);
}

test('a tag is passed on once while it stays in the field, and again later', async () => {
  const it = await open('digits-15');
  pty.write('000001337\r\n999000000001337\r\n999 000000001337\r\n');
  await heard(it, 2);
  expect(tags).toEqual([['999000000001337', true]]);
  clock = 999;
  pty.write('999000000001337\r\n999000000000002\r\n');
  await heard(it, 4);
  expect(tags.slice(1)).toEqual([['999000000000002', true]]);
  clock = 1000;
  pty.write('999000000001337\r\n');
  await heard(it, 5);
  expect(tags.slice(2)).toEqual([['999000000001337', true]]);
  expect(it.health()).toMatchObject({ test: 5, notAnimal: 0, noise: 1 });
  expect(notes).toEqual([expect.stringContaining('999000000001337 is a test tag')]);
});

test("a transponder that is not an animal's is counted, not passed on", async () => {
  const it = await open('hex-16');
  pty.write('0000F9C05968A455\r\n8000CE8000000001\r\n');
  await heard(it, 2);
  expect(tags).toEqual([['826000000000001', false]]);
  expect(it.health()).toMatchObject({ notAnimal: 1, test: 1 });
});

test('a raw telegram is found behind noise', async () => {
  const it = await open('fdx-b');
  const telegram = Buffer.from('00339A080402079F8040797788040201', 'hex');
  pty.write(Buffer.concat([Buffer.from([0, 0x33, 0x9a, 0]), telegram, Buffer.from([0, 0x55])]));
  await heard(it, 1);
  expect(tags).toEqual([['999000000001337', true]]);
});

test('a reader that is silent stays up; one that is unplugged comes back', async () => {
  const it = await open('digits-15');
  clock = 600_000;
  expect(it.health().up).toBe(true);
  name.remove();
  pty.close();
  await until('link down', () => !it.health().up);
  pty = openPty();
  name.pointAt(pty.path);
  await until('link up', () => it.health().up);
  pty.write('999000000001337\r\n');
  await heard(it, 1);
  expect(tags).toEqual([['999000000001337', true]]);
  expect(links.map(({ up }) => up)).toEqual([true, false, true]);
});
