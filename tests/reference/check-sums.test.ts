import { crc32 } from 'node:zlib';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { crc, lrcSum, NAMED_CRC, plainSum, xorSum } from '../../src/config/frames/checksum.ts';
import type { CrcParameters } from '../../src/config/frames/checksum.ts';

const CHECK = Buffer.from('123456789');

function of(parameters: CrcParameters, bytes: Uint8Array): number {
  return crc(parameters)(bytes, 0, bytes.length);
}

const hex = (text: string): Buffer => Buffer.from(text.replaceAll(' ', ''), 'hex');

test('CRC-16/KERMIT of "123456789" (ISO 11785, annex; CRC of FDX-B)', () => {
  expect(of(NAMED_CRC.kermit, CHECK)).toBe(0x2189);
});

test('CRC-16/MODBUS of "123456789" (Modbus over Serial Line V1.02)', () => {
  expect(of(NAMED_CRC.modbus, CHECK)).toBe(0x4b37);
});

describe('frames of Modbus RTU end in their CRC, low byte first', () => {
  test.each([
    // Modbus over Serial Line V1.02, its example of the CRC (that it is so: from memory)
    '02 07 41 12',
    // Published examples of requests and replies for functions 01 and 03
    '01 01 00 00 00 08 3D CC',
    '01 01 01 00 51 88',
    '01 03 00 02 00 01 25 CA',
    // Data of the Modbus Application Protocol V1.1b3, CRC recomputed
    '01 01 00 13 00 13 8C 02',
    '01 01 03 CD 6B 05 42 82',
    '01 02 00 C4 00 16 B8 39',
    '01 02 03 AC DB 35 22 88',
    '01 03 00 6B 00 03 74 17',
    '01 03 06 02 2B 00 00 00 64 05 7A',
    '01 05 00 AC FF 00 4C 1B',
    '01 05 00 00 FF 00 8C 3A',
    '01 05 00 00 00 00 CD CA',
    '01 0F 00 13 00 0A 02 CD 01 72 CB',
    '01 0F 00 13 00 0A 24 09',
    '01 81 02 C1 91',
    '01 83 03 01 31',
    // An older guide to Modbus, unit 17
    '11 01 00 13 00 25 0E 84',
    '11 01 05 CD 6B B2 0E 1B 45 E6',
  ])('%s', (frame) => {
    const bytes = hex(frame);
    const end = bytes.length - 2;
    expect(of(NAMED_CRC.modbus, bytes.subarray(0, end))).toBe(bytes.readUInt16LE(end));
  });
});

describe('other parameters', () => {
  test.each<[string, CrcParameters, number]>([
    // From memory: the catalogues' check values of these parameters
    ['16/XMODEM', { width: 16, poly: 0x1021, init: 0, reflected: false, xorOut: 0 }, 0x31c3],
    ['16/IBM-3740', { width: 16, poly: 0x1021, init: 0xffff, reflected: false, xorOut: 0 }, 0x29b1],
    ['8/SMBUS', { width: 8, poly: 0x07, init: 0, reflected: false, xorOut: 0 }, 0xf4],
    ['8/MAXIM', { width: 8, poly: 0x31, init: 0, reflected: true, xorOut: 0 }, 0xa1],
    [
      '24/OPENPGP',
      { width: 24, poly: 0x864cfb, init: 0xb704ce, reflected: false, xorOut: 0 },
      0x21cf02,
    ],
    [
      '32/BZIP2',
      { width: 32, poly: 0x04c11db7, init: 0xffffffff, reflected: false, xorOut: 0xffffffff },
      0xfc891918,
    ],
  ])('CRC-%s of "123456789"', (_, parameters, check) => {
    expect(of(parameters, CHECK)).toBe(check);
  });

  test('CRC-32 is the one of zlib', () => {
    const parameters = {
      width: 32,
      poly: 0x04c11db7,
      init: 0xffffffff,
      reflected: true,
      xorOut: 0xffffffff,
    };
    fc.assert(
      fc.property(fc.uint8Array({ maxLength: 64 }), (bytes) => {
        expect(of(parameters, bytes)).toBe(crc32(bytes));
      }),
    );
  });
});

test('sum, xor and LRC by hand', () => {
  const bytes = hex('11 03 00 6B 00 03');
  expect(plainSum(8)(bytes, 0, 6)).toBe(0x82);
  expect(plainSum(16)(Buffer.alloc(300, 0xff), 0, 300)).toBe((300 * 255) % 65536);
  expect(xorSum(bytes, 0, 6)).toBe(0x11 ^ 0x03 ^ 0x6b ^ 0x03);
  // Modbus over Serial Line V1.02: the bytes and their LRC add up to nothing
  expect(lrcSum(bytes, 0, 6)).toBe(0x7e);
  expect((plainSum(8)(bytes, 0, 6) + lrcSum(bytes, 0, 6)) % 256).toBe(0);
});
