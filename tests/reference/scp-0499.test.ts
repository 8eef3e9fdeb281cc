import { describe, expect, test } from 'vitest';
import { createDecoder } from '../../src/config/frames/decode.ts';
import type { DecodedReading } from '../../src/config/frames/decode.ts';
import { shippedScale } from '../config/frames/shipped.ts';

// SMA SCP-0499, Levels #1 and #2 (First Ed. 24 Apr 1999, Mod 1 29 Nov 2005), section 5: frame and
// examples as manuals of general industrial terminals reproduce them; "_" there stands for a space.
const asked = shippedScale('scp-0499-asked');
const repeating = shippedScale('scp-0499-repeating');

function read(frame: string): DecodedReading[] {
  return createDecoder(asked).push(Buffer.from(frame, 'latin1'));
}

test('commands are LF, letter, CR', () => {
  expect(asked.ask?.send).toBe('\x0aW\x0d');
  expect(repeating.begin).toBe('\x0aR\x0d');
});

test('the reply of 20 bytes, 41.5 kg gross, steady (computed from the frame of the standard)', () => {
  const hex = '0A 20 31 47 20 20 20 20 20 20 20 20 34 31 2E 35 6B 67 20 0D';
  const bytes = Buffer.from(hex.replaceAll(' ', ''), 'hex');
  expect(bytes).toHaveLength(20);
  expect(createDecoder(asked).push(bytes)).toEqual([{ kg: 41.5, motion: false, net: false }]);
});

describe('published examples, with each blank written as the standard prints it', () => {
  const pound = 0.45359237;
  test.each<[string, string, number, boolean, boolean]>([
    ['W', '_1G_______5.025lb_', 5.025 * pound, false, false],
    ['W, net', '_1N______100000lb_', 100000 * pound, false, true],
    ['H', '_1g______5.0025lb_', 5.0025 * pound, false, false],
    ['R', '_1G_______7.025kg_', 7.025, false, false],
    ['R, the load changes', '_1GM______7.650kg_', 7.65, true, false],
    ['R, at rest again', '_1G_______7.650kg_', 7.65, false, false],
  ])('%s: %s', (_, printed, kg, motion, net) => {
    const body = printed.replaceAll('_', ' ');
    const expected = [{ kg: expect.closeTo(kg, 4) as number, motion, net }];
    expect(read(`\n${body}\r`)).toEqual(expected);
    // One open emulator sends the underscore itself after the unit.
    expect(read(`\n${body.slice(0, -1)}_\r`)).toEqual(expected);
  });

  test('Z, the centre of zero', () => {
    expect(read('\nZ1G       0.000lb \r')).toEqual([
      { kg: 0, motion: false, net: false, zero: true },
    ]);
  });
});

describe('no weight', () => {
  test.each([
    ['O', 'over'],
    ['U', 'under'],
    ['E', 'error'],
    ['I', 'error'],
    ['T', 'error'],
  ])('status %s is %s', (letter, status) => {
    expect(read(`\n${letter}1G  ----------lb \r`)).toEqual([
      { kg: null, motion: false, net: false, status },
    ]);
  });

  test('a stability time-out: dashes and a blank unit', () => {
    expect(read('\n 1G  ----------   \r')).toEqual([
      { kg: null, motion: false, net: false, status: 'error' },
    ]);
  });

  test.each(['\n?\r', '\n!\r', '\nSMA:2/1.0\r', '\nEND:\r'])('%j is no reading', (reply) => {
    expect(read(reply)).toEqual([]);
  });
});
