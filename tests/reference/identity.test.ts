import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { crc, NAMED_CRC } from '../../src/config/frames/checksum.ts';
import {
  fromBits,
  fromTelegram,
  MOST_NUMBER,
  toBits,
  toDigits,
  toTelegram,
} from '../../src/config/frames/iso11784.ts';

const hex = (text: string): Buffer => Buffer.from(text.replaceAll(' ', ''), 'hex');
const kermit = crc(NAMED_CRC.kermit);

/** Code, number, animal flag, the eight bytes in sending order, CRC; ISO 11784 and 11785. */
const KNOWN: [string, number, number, boolean, string, number][] = [
  ['T1, a public bench frame', 999, 1337, true, '39 05 00 00 C0 F9 00 80', 0x1ed3],
  ['T2, a published pair', 999, 1500030037, false, '55 A4 68 59 C0 F9 00 00', 0x8a1c],
  ['T3, published bits', 528, 140000795552, true, 'A0 9B B2 98 20 84 00 80', 0xf283],
  ['T5, computed', 826, 1, true, '01 00 00 00 80 CE 00 80', 0x3258],
  ['T6, computed', 999, 123456789012, true, '14 1A 99 BE DC F9 00 80', 0xb70b],
];

describe('64 bits both ways, and the CRC of the telegram', () => {
  test.each(KNOWN)('%s: %i / %i', (_, code, number, animal, bytes, check) => {
    const bits = hex(bytes).readBigUInt64LE(0);
    const identity = { code, number, animal, dataBlock: false, reserved: 0 };
    expect(fromBits(bits)).toEqual(identity);
    expect(toBits(identity)).toBe(bits);
    expect(kermit(hex(bytes), 0, 8)).toBe(check);
    expect(fromTelegram(toTelegram(bits))).toBe(bits);
  });

  test('T4, published as raw bits, each byte with its low bit first', () => {
    const raw = hex('44 88 23 F2 5A 6F 00 01');
    const bytes = raw.map((byte) => {
      let out = 0;
      for (let bit = 0; bit < 8; bit++) out |= ((byte >> bit) & 1) << (7 - bit);
      return out;
    });
    const { code, number, animal } = fromBits(Buffer.from(bytes).readBigUInt64LE(0));
    expect({ code, number, animal }).toEqual({ code: 985, number: 113007399202, animal: true });
    expect(kermit(bytes, 0, 8)).toBe(0xfcdf);
  });

  test('the animal flag is bit 63, and nothing else is', () => {
    expect(fromBits(1n << 63n)).toMatchObject({ animal: true, reserved: 0, dataBlock: false });
    expect(fromBits(1n << 49n)).toMatchObject({ animal: false, reserved: 1 });
    expect(fromBits(1n << 48n)).toMatchObject({ animal: false, dataBlock: true });
  });

  test('any identity comes back', () => {
    const identity = fc.record({
      code: fc.integer({ min: 0, max: 1023 }),
      number: fc.integer({ min: 0, max: MOST_NUMBER }),
      animal: fc.boolean(),
      dataBlock: fc.boolean(),
      reserved: fc.integer({ min: 0, max: 0x3fff }),
    });
    fc.assert(
      fc.property(identity, (one) => {
        expect(fromBits(toBits(one))).toEqual(one);
        expect(fromTelegram(toTelegram(toBits(one)))).toBe(toBits(one));
      }),
    );
  });
});

describe('the telegram of FDX-B (ISO 11785)', () => {
  // Public bench frame: header, T1, CRC D3 1E, empty trailer; the first bit is the top bit
  const frame = hex('00339A080402079F8040797788040201');
  const bits = hex('39 05 00 00 C0 F9 00 80').readBigUInt64LE(0);

  test('is read and written bit for bit', () => {
    expect(fromTelegram(frame)).toBe(bits);
    expect(Buffer.from(toTelegram(bits))).toEqual(frame);
  });

  test('one wrong bit anywhere but in the trailer, and it is none', () => {
    for (let bit = 0; bit < 128; bit++) {
      const wrong = Uint8Array.from(frame);
      wrong[bit >> 3] = (wrong[bit >> 3] ?? 0) ^ (0x80 >> (bit & 7));
      const inTrailer = bit >= 11 + 72 + 18 && (bit - 11) % 9 !== 8;
      expect(fromTelegram(wrong), `bit ${bit}`).toBe(inTrailer ? bits : null);
    }
  });

  test('another length is none', () => {
    expect(fromTelegram(frame.subarray(1))).toBeNull();
    expect(fromTelegram(Buffer.concat([frame, frame]))).toBeNull();
  });
});

describe('15 digits', () => {
  test('code and number are padded with noughts', () => {
    expect(toDigits(999, 1337)).toBe('999000000001337');
    expect(toDigits(36, 1)).toBe('036000000000001');
    expect(toDigits(826, MOST_NUMBER)).toBe('826274877906943');
  });

  test.each([
    [0, 1],
    [1000, 1],
    [999, MOST_NUMBER + 1],
    [999, -1],
    [NaN, 1],
  ])('%d / %d is out of range', (code, number) => {
    expect(toDigits(code, number)).toBeNull();
  });
});
