import type { Sum } from './checksum.ts';
import { crc, lrcSum, NAMED_CRC, plainSum, xorSum } from './checksum.ts';
import { checksumBytes, endsOf } from './consistent.ts';
import type { Fields, Texts } from './fields.ts';
import { readFields } from './fields.ts';
import type { Framer } from './framer.ts';
import { createFramer } from './framer.ts';
import type { FrameProfile } from './schema.ts';

/** Counts whole frames beside what a framer counts. */
export interface Line extends Framer {
  readonly frames: number;
}

/**
 * From bytes to the texts of whole frames: framing, check sum, constant length and shape.
 *
 * @param take says whether the texts make sense; where not, the frame is noise
 * @param mayBegin a cheap look at the first bytes, where every place is tried for a frame
 */
export function createLine(
  profile: FrameProfile,
  fields: Fields,
  take: (texts: Texts) => boolean,
  mayBegin?: (bytes: Uint8Array, from: number) => boolean,
): Line {
  const { start, length, maxBytes, first } = profile.frame;
  const sum = sumCheck(profile);
  const inBody = profile.checksum?.place === 'last' ? checksumBytes(profile) : 0;
  const width = length === 'same' ? sameWidth() : null;
  let frames = 0;
  const framer = createFramer(
    {
      start: start === undefined ? null : Buffer.from(start, 'latin1'),
      ends: endsOf(profile).map((end) => Buffer.from(end, 'latin1')),
      length: typeof length === 'number' ? length : null,
      afterEnd: inBody === 0 ? checksumBytes(profile) : 0,
      keepFirst: first === 'keep',
      maxBytes,
    },
    (bytes, from, to, frameFrom) => {
      if (mayBegin !== undefined && !mayBegin(bytes, from)) return false;
      if (sum !== null && !sum(bytes, from, to, frameFrom)) return false;
      const texts = fields.split(bytes.toString('latin1', from, to - inBody));
      if (texts === null) return false;
      const known = width === null || width.known();
      // The first after opening has none to be compared with: it gives nothing, but is no noise.
      if (width !== null && !width.fits(to - from)) return !known;
      if (!take(texts)) return false;
      frames += 1;
      return true;
    },
  );
  return {
    push: framer.push,
    restart() {
      width?.restart();
      framer.restart();
    },
    get noise() {
      return framer.noise;
    },
    get held() {
      return framer.held;
    },
    get frames() {
      return frames;
    },
  };
}

/** The width that two frames running have had; one of another width is taken for a slip. */
function sameWidth(): {
  fits: (width: number) => boolean;
  known: () => boolean;
  restart: () => void;
} {
  let agreed = -1;
  let last = -1;
  return {
    fits(width) {
      if (width === last) agreed = width;
      last = width;
      return width === agreed;
    },
    known: () => last >= 0,
    restart() {
      agreed = -1;
      last = -1;
    },
  };
}

/** The fields of a profile that was checked; throws where it was not. */
export function checkedFields(profile: FrameProfile): Fields {
  const fields = readFields(profile.body);
  if ('message' in fields) throw new Error(`${profile.name}: ${fields.message}`);
  return fields;
}

type Check = (bytes: Buffer, from: number, to: number, frameFrom: number) => boolean;

function sumCheck(profile: FrameProfile): Check | null {
  const { checksum } = profile;
  if (!checksum) return null;
  const sum = sumOf(checksum);
  const size = checksumBytes(profile);
  const end = checksum.place === 'after-end' ? (endsOf(profile)[0]?.length ?? 0) : 0;
  const read = checksum.form === 'hex' ? hexNumber : rawNumber;
  return (bytes, from, to, frameFrom) => {
    const covered = checksum.place === 'last' ? to - size : checksum.withEnd ? to + end : to;
    const at = checksum.place === 'last' ? to - size : to + end;
    if (covered < from) return false;
    const expected = sum(bytes, checksum.withStart ? frameFrom : from, covered);
    return read(bytes, at, size, checksum.lowFirst) === expected;
  };
}

function sumOf(checksum: NonNullable<FrameProfile['checksum']>): Sum {
  switch (checksum.kind) {
    case 'sum8':
      return plainSum(8);
    case 'sum16':
      return plainSum(16);
    case 'xor':
      return xorSum;
    case 'lrc':
      return lrcSum;
    case 'crc': {
      const parameters = checksum.crc ?? 'kermit';
      return crc(typeof parameters === 'string' ? NAMED_CRC[parameters] : parameters);
    }
  }
}

function rawNumber(bytes: Buffer, at: number, size: number, lowFirst: boolean): number {
  let value = 0;
  for (let i = 0; i < size; i++) {
    const byte = bytes[lowFirst ? at + size - 1 - i : at + i] ?? 0;
    value = value * 256 + byte;
  }
  return value;
}

function hexNumber(bytes: Buffer, at: number, size: number, lowFirst: boolean): number {
  const text = bytes.toString('latin1', at, at + size);
  if (!/^[0-9A-Fa-f]+$/.test(text)) return -1;
  return rawNumber(Buffer.from(text, 'hex'), 0, size / 2, lowFirst);
}
