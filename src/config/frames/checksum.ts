/** Check sums over the bytes of a frame. */

/** A cyclic redundancy check by its usual parameters; input and output are reflected together. */
export interface CrcParameters {
  width: number;
  poly: number;
  init: number;
  reflected: boolean;
  xorOut: number;
}

/** The ones that have names here; their check values are tested. */
export const NAMED_CRC: Record<'kermit' | 'modbus', CrcParameters> = {
  kermit: { width: 16, poly: 0x1021, init: 0, reflected: true, xorOut: 0 },
  modbus: { width: 16, poly: 0x8005, init: 0xffff, reflected: true, xorOut: 0 },
};

export type Sum = (bytes: Uint8Array, from: number, to: number) => number;

/** The sum of the bytes modulo 2^`bits` (8 or 16). */
export function plainSum(bits: number): Sum {
  const modulo = bits === 8 ? 0x100 : 0x10000;
  return (bytes, from, to) => {
    let sum = 0;
    for (let i = from; i < to; i++) sum += bytes[i] ?? 0;
    return sum % modulo;
  };
}

export const xorSum: Sum = (bytes, from, to) => {
  let sum = 0;
  for (let i = from; i < to; i++) sum ^= bytes[i] ?? 0;
  return sum;
};

/** The two's complement of the sum, 8 bits, as in Modbus ASCII: bytes and LRC add up to 0. */
export const lrcSum: Sum = (bytes, from, to) => (0x100 - plainSum(8)(bytes, from, to)) % 0x100;

/** A CRC of 8 to 32 bits, computed from a table of 256 entries. */
export function crc(parameters: CrcParameters): Sum {
  const { width, reflected, xorOut } = parameters;
  const mask = width === 32 ? 0xffffffff : 2 ** width - 1;
  const poly = reflected ? mirrored(parameters.poly, width) : parameters.poly;
  const table = Uint32Array.from({ length: 256 }, (_, byte) => entry(byte, width, poly, reflected));
  const start = (reflected ? mirrored(parameters.init, width) : parameters.init) >>> 0;
  const high = width - 8;
  return (bytes, from, to) => {
    let value = start;
    for (let i = from; i < to; i++) {
      const byte = bytes[i] ?? 0;
      value = reflected
        ? (value >>> 8) ^ (table[(value ^ byte) & 0xff] ?? 0)
        : (value << 8) ^ (table[((value >>> high) ^ byte) & 0xff] ?? 0);
    }
    return ((value ^ xorOut) & mask) >>> 0;
  };
}

function entry(byte: number, width: number, poly: number, reflected: boolean): number {
  const top = 2 ** (width - 1);
  let value = reflected ? byte : (byte << (width - 8)) >>> 0;
  for (let bit = 0; bit < 8; bit++) {
    const out = reflected ? value & 1 : value & top;
    value = reflected ? value >>> 1 : (value << 1) >>> 0;
    if (out !== 0) value ^= poly;
    value >>>= 0;
  }
  return value;
}

function mirrored(value: number, width: number): number {
  let out = 0;
  for (let bit = 0; bit < width; bit++) if ((value >>> bit) & 1) out |= 1 << (width - 1 - bit);
  return out >>> 0;
}
