import fc from 'fast-check';
import { expect, test } from 'vitest';
import { decodeMeasurement } from '../../../src/adapters/scale/weight-measurement.ts';

const of = (hex: string): Uint8Array => Buffer.from(hex.replaceAll(' ', ''), 'hex');

// Weight Scale Service 1.0 and Weight Measurement 0x2A9D (Bluetooth SIG): flags, 0.005 kg or 0.01 lb,
// 0xFFFF for a measurement that failed; the payloads are computed from that.
test.each([
  ['00 6C 20', { kg: 41.5 }],
  ['02 6C 20 EA 07 06 01 08 0F 1E', { kg: 41.5 }],
  ['00 FE FF', { kg: 327.67 }],
  ['00 00 00', { kg: 0 }],
  ['0E 6C 20 EA 07 06 01 08 0F 1E FF C8 00 A4 06', { kg: 41.5 }],
  ['04 6C 20 01', { kg: 41.5 }],
  ['08 6C 20 C8 00 A4 06', { kg: 41.5 }],
  ['00 FF FF', { kg: null, status: 'error' }],
  ['02 FF FF EA 07 06 01 08 0F 1E', { kg: null, status: 'error' }],
])('%s', (hex, reads) => {
  expect(decodeMeasurement(of(hex))).toEqual(reads);
});

test('pounds: 91.49 lb, by the exact pound of 0.45359237 kg', () => {
  expect(decodeMeasurement(of('01 BD 23'))?.kg).toBeCloseTo(91.49 * 0.45359237, 9);
});

test.each([
  ['', 'nothing'],
  ['00 6C', 'cut'],
  ['00 6C 20 00', 'a byte too many'],
  ['02 6C 20 EA 07', 'a time stamp that is cut'],
  ['10 6C 20', 'a reserved flag'],
  ['08 FF FF C8 00 A4 06', 'failed, and yet with a body mass index'],
])('%s gives nothing: %s', (hex) => {
  expect(decodeMeasurement(of(hex))).toBeNull();
});

test('any bytes: no exception, and never a weight out of range', () => {
  fc.assert(
    fc.property(fc.uint8Array({ maxLength: 24 }), (bytes) => {
      const read = decodeMeasurement(bytes);
      if (typeof read?.kg !== 'number') return;
      expect(read.kg).toBeGreaterThanOrEqual(0);
      expect(read.kg).toBeLessThanOrEqual(327.67);
    }),
  );
});
