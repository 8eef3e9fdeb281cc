import { crc, NAMED_CRC } from './checksum.ts';

/**
 * The 64 bits of an animal's transponder (ISO 11784). As one integer: national number
 * + code x 2^38 + data block x 2^48 + reserved bits + animal x 2^63; so the animal flag, bit 1 in
 * the standard's counting, is bit 63 of the integer.
 */
export interface Identity {
  /** Country (001 to 899, ISO 3166 numeric), maker (900 to 998) or test (999). */
  code: number;
  /** National number, 0 to 274,877,906,943 (38 bits). */
  number: number;
  /** The transponder is for an animal. */
  animal: boolean;
  /** A data block follows the identity. */
  dataBlock: boolean;
  /** The 14 bits between the animal flag and the data-block flag. */
  reserved: number;
}

/** 38 bits. */
export const MOST_NUMBER = 274_877_906_943;

/** The code for tests: never a real animal's. */
export const TEST_CODE = 999;

/** The identity in 64 bits, 0n to 2^64 - 1n. */
export function fromBits(bits: bigint): Identity {
  return {
    number: Number(bits & 0x3f_ffff_ffffn),
    code: Number((bits >> 38n) & 0x3ffn),
    dataBlock: ((bits >> 48n) & 1n) === 1n,
    reserved: Number((bits >> 49n) & 0x3fffn),
    animal: bits >> 63n === 1n,
  };
}

/** The 64 bits of an identity whose fields are in range. */
export function toBits(identity: Identity): bigint {
  return (
    BigInt(identity.number) |
    (BigInt(identity.code) << 38n) |
    (identity.dataBlock ? 1n << 48n : 0n) |
    (BigInt(identity.reserved) << 49n) |
    (identity.animal ? 1n << 63n : 0n)
  );
}

/**
 * The 15 digits that people see: code and number, padded with noughts.
 *
 * @returns null where code (1 to 999) or number (38 bits) is out of range
 */
export function toDigits(code: number, number: number): string | null {
  if (!(code >= 1 && code <= TEST_CODE && number >= 0 && number <= MOST_NUMBER)) return null;
  return String(code).padStart(3, '0') + String(number).padStart(12, '0');
}

const BYTES = 16;
const ID_BYTES = 8;
const kermit = crc(NAMED_CRC.kermit);

/**
 * An FDX-B telegram of ISO 11785: 128 bits, the first on the air being the top bit of the first
 * byte. Header of ten 0 and a 1; 8 identity bytes, 2 of CRC (CRC-16/KERMIT over the identity, low
 * byte first) and 3 of trailer, each with its low bit first and a control bit 1 after it.
 *
 * @returns the 64 identity bits, or null where header, a control bit or the CRC is wrong
 */
export function fromTelegram(bytes: Uint8Array): bigint | null {
  if (bytes.length !== BYTES || !mayBeTelegram(bytes, 0)) return null;
  const bit = (at: number): number => ((bytes[at >> 3] ?? 0) >> (7 - (at & 7))) & 1;
  const data = new Uint8Array(13);
  for (let i = 0, at = 11; i < data.length; i++) {
    for (let low = 0; low < 8; low++) data[i] = (data[i] ?? 0) | (bit(at++) << low);
    if (bit(at++) !== 1) return null;
  }
  if (kermit(data, 0, ID_BYTES) !== (data[8] ?? 0) + 256 * (data[9] ?? 0)) return null;
  return Buffer.from(data.buffer).readBigUInt64LE(0);
}

/** The header stands there: ten 0 and a 1. */
export function mayBeTelegram(bytes: Uint8Array, from: number): boolean {
  return bytes[from] === 0 && ((bytes[from + 1] ?? 0) & 0xe0) === 0x20;
}

/** The telegram of 64 identity bits, with an empty trailer: 16 bytes. */
export function toTelegram(bits: bigint): Uint8Array {
  const data = Buffer.alloc(13);
  data.writeBigUInt64LE(bits, 0);
  data.writeUInt16LE(kermit(data, 0, ID_BYTES), ID_BYTES);
  const out = new Uint8Array(BYTES);
  let at = 10;
  const put = (bit: number): void => {
    out[at >> 3] = (out[at >> 3] ?? 0) | (bit << (7 - (at & 7)));
    at += 1;
  };
  put(1);
  for (const byte of data) {
    for (let low = 0; low < 8; low++) put((byte >> low) & 1);
    put(1);
  }
  return out;
}
