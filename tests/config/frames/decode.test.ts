import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { z } from 'zod';
import { frame } from '../../../simulator/frames.ts';
import { createDecoder } from '../../../src/config/frames/decode.ts';
import type { DecodedReading } from '../../../src/config/frames/decode.ts';
import { scaleProfile } from '../../../src/config/frames/schema.ts';
import type { ScaleProfile } from '../../../src/config/frames/schema.ts';
import { shippedScale } from './shipped.ts';

type Given = Partial<z.input<typeof scaleProfile>>;

/** A small profile: a number in kg between line ends, with what the test changes. */
function profile(given: Given): ScaleProfile {
  return scaleProfile.parse({
    kind: 'scale',
    name: 'of a test',
    about: '',
    serial: { baud: 9600 },
    frame: { end: '\r\n' },
    body: { pattern: '(?<weight>[-+ 0-9.,]{1,12})' },
    weight: { unit: 'kg' },
    samples: [{ bytes: '', reads: 'nothing' }],
    bad: [''],
    ...given,
  });
}

function read(given: Given, ...chunks: string[]): DecodedReading[] {
  const decoder = createDecoder(profile(given));
  return chunks.flatMap((chunk) => decoder.push(Buffer.from(chunk, 'latin1')));
}

/** The kg of one body between two line ends. */
function kg(body: string, given: Given = {}): number | null | undefined {
  return read(given, `\r\n${body}\r\n`)[0]?.kg;
}

describe('numbers', () => {
  test.each([
    ['41.5', 41.5],
    ['  41.50', 41.5],
    ['0041.5', 41.5],
    ['+  41.5', 41.5],
    ['-0.3', -0.3],
    [' -  0.3', -0.3],
    ['-0.0', 0],
    ['41', 41],
    ['41.5   ', 41.5],
    ['----', null],
  ])('%j is %d', (body, value) => {
    expect(kg(body)).toBe(value);
  });

  test.each(['4 1.5', '.5', '5.', '1.2.3', '+-1', '', ' ', '41,5', '-', '+----'])(
    '%j is noise',
    (body) => {
      expect(kg(body)).toBeUndefined();
    },
  );

  test('minus nought is nought, or a trace would not read back the same', () => {
    expect(Object.is(kg('-0.0'), 0)).toBe(true);
  });

  test('an implied point, a fixed number of decimals, a comma', () => {
    const implied: Given = { weight: { unit: 'kg', point: 'implied', decimals: 1 } };
    expect(kg('000415', implied)).toBe(41.5);
    expect(kg('41.5', implied)).toBeUndefined();
    const fixed: Given = { weight: { unit: 'kg', decimals: 1 } };
    expect(kg('41.5', fixed)).toBe(41.5);
    expect(kg('4155', fixed)).toBeUndefined();
    expect(kg('4.15', fixed)).toBeUndefined();
    expect(kg('41,5', { weight: { unit: 'kg', pointSign: ',' } })).toBe(41.5);
  });

  test('units in kg; a pound is exactly 0.45359237 kg (international agreement of 1959)', () => {
    expect(kg('100', { weight: { unit: 'lb' } })).toBe(45.3592);
    expect(kg('41500', { weight: { unit: 'g' } })).toBe(41.5);
    expect(kg('0.0415', { weight: { unit: 't' } })).toBe(41.5);
  });
});

describe('frames', () => {
  test('what stands before the first end is dropped: it may be a tail', () => {
    expect(read({}, '1.5\r\n41.5\r\n')).toEqual([{ kg: 41.5 }]);
    expect(read({ frame: { end: '\r\n', first: 'keep' } }, '41.5\r\n')).toEqual([{ kg: 41.5 }]);
    expect(read({ frame: { end: '\r\n', length: 4 } }, '41.5\r\n')).toEqual([{ kg: 41.5 }]);
    expect(read({ frame: { start: ':', end: '\r\n' } }, '9:41.5\r\n')).toEqual([{ kg: 41.5 }]);
  });

  test('a restart drops what was begun', () => {
    const decoder = createDecoder(profile({}));
    decoder.push(Buffer.from('\r\n4'));
    decoder.restart();
    expect(decoder.push(Buffer.from('1.5\r\n'))).toEqual([]);
    expect(decoder.push(Buffer.from('42.5\r\n'))).toEqual([{ kg: 42.5 }]);
  });

  test('an end may be cut between its characters', () => {
    expect(read({}, '\r', '\n41.5\r', '\n', '42.5', '\r\n')).toEqual([{ kg: 41.5 }, { kg: 42.5 }]);
  });

  test('of several starts the last opens the frame; the others were cut', () => {
    const decoder = createDecoder(profile({ frame: { start: ':', end: '\r' } }));
    expect(decoder.push(Buffer.from(':4:41.5\r'))).toEqual([{ kg: 41.5 }]);
    expect(decoder.noise).toBe(1);
    expect(decoder.frames).toBe(1);
  });

  test('the tail of a line that was too long is no frame', () => {
    for (const end of ['\r\n', ['\r', '\n']])
      expect(
        read({ frame: { end, maxBytes: 12 } }, '\r\n', 'x'.repeat(30), '41.5\r\n', '42.5\r\n'),
      ).toEqual([{ kg: 42.5 }]);
  });

  test('a start behind an over-long line still opens its frame', () => {
    const given: Given = { frame: { start: ':', end: '\r', maxBytes: 12 } };
    expect(read(given, 'x'.repeat(30), `${'y'.repeat(30)}:41`, '.5\r')).toEqual([{ kg: 41.5 }]);
  });

  test('the same length as before, or a line that lost a character would pass', () => {
    const given: Given = { frame: { end: '\r\n', length: 'same' } };
    expect(read(given, '\r\n 41.5\r\n 41.6\r\n 4.6\r\nx\r\n 41.7\r\n')).toEqual([
      { kg: 41.6 },
      { kg: 41.7 },
    ]);
    expect(read(given, '\r\n41.5\r\n 41.6\r\n 41.7\r\n')).toEqual([{ kg: 41.7 }]);
  });

  test('a fixed length refuses any other', () => {
    const given: Given = { frame: { end: '\r\n', length: 5 } };
    expect(read(given, '\r\n 41.5\r\n41.5\r\n  41.5\r\n')).toEqual([{ kg: 41.5 }]);
  });
});

describe('check sums', () => {
  const sum8: Given = {
    frame: { start: '\x02', end: '\x03' },
    body: { pattern: '(?<weight>[0-9.]{4})' },
  };
  // '4' + '1' + '.' + '5' = 0x34 + 0x31 + 0x2E + 0x35 = 0xC8; exclusive or = 0x1E; by hand
  test.each<[string, NonNullable<Given['checksum']>, string]>([
    ['sum before the end, raw', { kind: 'sum8' }, '\x0241.5\xc8\x03'],
    ['sum before the end, hex', { kind: 'sum8', form: 'hex' }, '\x0241.5C8\x03'],
    ['sum of 16 bits, low first', { kind: 'sum16', lowFirst: true }, '\x0241.5\xc8\x00\x03'],
    ['exclusive or after the end', { kind: 'xor', place: 'after-end' }, '\x0241.5\x03\x1e'],
    [
      'exclusive or with start and end',
      { kind: 'xor', place: 'after-end', withStart: true, withEnd: true },
      '\x0241.5\x03\x1f',
    ],
    ['LRC', { kind: 'lrc', form: 'hex' }, '\x0241.538\x03'],
  ])('%s', (_, checksum, bytes) => {
    expect(read({ ...sum8, checksum }, bytes)).toEqual([{ kg: 41.5 }]);
    expect(read({ ...sum8, checksum }, bytes.slice(0, -1), bytes.slice(-1))).toEqual([
      { kg: 41.5 },
    ]);
    const wrong = bytes.replace('41.5', '41.6');
    expect(read({ ...sum8, checksum }, wrong + bytes)).toEqual([{ kg: 41.5 }]);
  });

  test('with a check sum the length alone may close a frame', () => {
    const given: Given = {
      frame: { start: '\x02', length: 5 },
      body: { pattern: '(?<weight>[0-9.]{4})' },
      checksum: { kind: 'sum8' },
    };
    expect(read(given, 'x\x02\x0241.5', '\xc8\x02', '41.5\xc8')).toEqual([
      { kg: 41.5 },
      { kg: 41.5 },
    ]);
  });

  test('after a frame that was cut before its sum, the next one is whole', () => {
    const given: Given = { ...sum8, checksum: { kind: 'xor', place: 'after-end' } };
    expect(read(given, '\x0241.5\x03\x0241.5\x03\x1e')).toEqual([{ kg: 41.5 }]);
  });

  test('without a start, the sum of a frame that was not taken is no part of the next', () => {
    const checksum = { kind: 'xor', place: 'after-end' } as const;
    const given: Given = { ...sum8, frame: { end: '\x03' }, checksum };
    const whole = '41.5\x03\x1e';
    expect(read(given, `1.5\x03\x1e${whole}${whole}`)).toEqual([{ kg: 41.5 }, { kg: 41.5 }]);
    expect(read(given, `${whole}41\x03\x1e${whole}${whole}`)).toEqual([{ kg: 41.5 }, { kg: 41.5 }]);
  });
});

describe('marks', () => {
  const words: Given = {
    body: { pattern: '(?<state>[A-Z]{1,2}) (?<weight>[-0-9.]{1,8}) (?<unit>kg|lb)' },
    words: {
      state: {
        S: 'steady',
        M: 'motion',
        OV: 'over',
        UN: 'under',
        ER: 'error',
        N: ['net', 'minus'],
        T: 'ignore',
      },
      unit: { kg: 'kg', lb: 'lb' },
    },
  };

  test.each<[string, DecodedReading[]]>([
    ['S 41.5 kg', [{ kg: 41.5, motion: false }]],
    ['M 41.5 kg', [{ kg: 41.5, motion: true }]],
    ['N 41.5 kg', [{ kg: -41.5, net: true }]],
    ['N -41.5 kg', []],
    ['OV 99.9 kg', [{ kg: null, status: 'over' }]],
    ['UN -99.9 kg', [{ kg: null, status: 'under' }]],
    ['ER 41.5 kg', [{ kg: null, status: 'error' }]],
    ['S ---- kg', [{ kg: null, motion: false, status: 'error' }]],
    ['X 41.5 kg', []],
    ['T 41.5 kg', []],
  ])('%s', (body, readings) => {
    expect(read(words, `\r\n${body}\r\n`)).toEqual(readings);
  });

  test('status bits: only 0x30 to 0x3F, and a motion bit that is off means steady', () => {
    const given: Given = {
      body: { pattern: '(?<weight>[0-9.]{4})(?<status>[^\\x00])' },
      bits: { status: { motion: 0, over: 1, zero: 2 } },
    };
    expect(read(given, '\r\n41.50\r\n41.51\r\n41.52\r\n00.04\r\n41.5@\r\n')).toEqual([
      { kg: 41.5, motion: false },
      { kg: 41.5, motion: true },
      { kg: null, motion: false, status: 'over' },
      { kg: 0, motion: false, zero: true },
    ]);
  });
});

test('however the bytes are split, the readings and counts are the same', () => {
  const stream = Buffer.from(
    [41.5, -0.3, null, 120, 7].map((value) => frame(value, value === 7)).join('x\r\n\n'),
  );
  const whole = createDecoder(shippedScale('plain-continuous'));
  const wanted = whole.push(stream);
  expect(wanted.length).toBeGreaterThan(2);
  fc.assert(
    fc.property(fc.array(fc.integer({ min: 0, max: stream.length })), (cuts) => {
      const decoder = createDecoder(shippedScale('plain-continuous'));
      const at = [0, ...cuts.sort((a, b) => a - b), stream.length];
      const given = at.flatMap((from, i) => decoder.push(stream.subarray(from, at[i + 1] ?? from)));
      expect(given).toEqual(wanted);
      expect([decoder.frames, decoder.noise]).toEqual([whole.frames, whole.noise]);
    }),
  );
});

test('the simulated weigh head writes what the plain continuous profile reads', () => {
  fc.assert(
    fc.property(fc.integer({ min: -99_999, max: 99_999 }), fc.boolean(), (tenths, motion) => {
      const decoder = createDecoder(shippedScale('plain-continuous'));
      const text = frame(tenths / 10, motion);
      const [reading] = decoder.push(Buffer.from(`\r\n${text}${text}`));
      expect(reading).toEqual({ kg: tenths / 10, motion, net: false });
    }),
  );
  for (const status of ['over', 'under', 'error'] as const) {
    const decoder = createDecoder(shippedScale('plain-continuous'));
    const text = frame(null, false, status);
    const [reading] = decoder.push(Buffer.from(`\r\n${text}${text}`));
    expect(reading?.kg).toBeNull();
  }
});
