import { describe, expect, test } from 'vitest';
import { fuzz, random, SUBJECTS } from './fuzzing.ts';

const MEGABYTE = 1024 * 1024;

describe.each(SUBJECTS)('$name', (subject) => {
  test('hurt frames: the same readings as a naive split of the whole stream', () => {
    const counts = fuzz(subject, MEGABYTE / 2, 8);
    expect(counts.difference).toBeNull();
    expect(counts.readings).toBeGreaterThan(counts.whole / 4);
    expect(counts.mostHeld).toBeLessThanOrEqual(256);
    for (const hurt of ['whole', 'cut', 'merged', 'doubled', 'flipped', 'noise'] as const)
      expect(counts[hurt]).toBeGreaterThan(100);
  });

  test('plain noise gives nothing and is not kept', () => {
    const below = random(9);
    const decoder = subject.decoder();
    const given: unknown[] = [];
    for (let block = 0; block < 32; block++) {
      const bytes = Uint8Array.from({ length: 16 * 1024 }, () => below(256));
      given.push(...decoder.push(bytes));
      expect(decoder.held).toBeLessThanOrEqual(256);
    }
    expect(given).toEqual([]);
    expect(decoder.noise).toBeGreaterThan(0);
  });
});

test('one flipped bit in a frame with a check sum gives no weight', () => {
  const subject = SUBJECTS.find(({ proved }) => proved);
  if (!subject) throw new Error('no profile with a check sum');
  const below = random(3);
  const given: string[] = [];
  for (let i = 0; i < 20; i++) {
    const frame = subject.frame(below);
    for (let bit = 0; bit < frame.length * 8; bit++) {
      const wrong = Buffer.from(frame);
      wrong[bit >> 3] = (wrong[bit >> 3] ?? 0) ^ (1 << (bit & 7));
      const text = wrong.toString('latin1');
      // A flipped letter of the hex digits may only change its case: the sum is the same.
      if (
        text.toLowerCase() !== frame.toString('latin1') &&
        subject.decoder().push(wrong).length > 0
      )
        given.push(text);
    }
  }
  expect(given).toEqual([]);
});
