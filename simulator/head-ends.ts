/** How an invented weigh head opens, proves and closes its frames. */
import { oneOf, pick } from './pick.ts';
import type { Random } from './random.ts';

export interface HeadChecksum {
  kind: 'sum8' | 'xor' | 'lrc' | 'modbus';
  form: 'hex' | 'raw';
  withStart: boolean;
  /** It follows the end, which it then counts, instead of coming before it. */
  afterEnd: boolean;
}

export interface HeadEnds {
  /** The bytes that open a frame; may be none. */
  start: string;
  end: string;
  checksum: HeadChecksum | null;
}

export function chooseEnds(random: Random, framing: string): HeadEnds {
  const end = pick(random, [
    [46, '\r\n'],
    [22, '\r'],
    [13, '\n'],
    [14, '\x03'],
    [3, '\x04'],
    [2, '\n\r'],
  ] as const);
  const start =
    end === '\x03'
      ? pick(random, [
          [85, '\x02'],
          [15, ''],
        ] as const)
      : pick(random, [
          [80, ''],
          [10, '\x02'],
          [end === '\r' ? 20 : 0, '\n'],
          [3, '\x01'],
        ] as const);
  if (!random.chance(0.25)) return { start, end, checksum: null };
  const checksum: HeadChecksum = {
    kind: oneOf(random, ['sum8', 'xor', 'xor', 'lrc', 'modbus']),
    // Seven data bits cannot carry a byte of any value.
    form: framing.startsWith('8') && random.chance(0.3) ? 'raw' : 'hex',
    withStart: start !== '' && random.chance(0.3),
    afterEnd: end === '\x03' && random.chance(0.5),
  };
  return { start, end, checksum };
}

/** The whole frame around a body. */
export function wholeFrame(body: string, { start, end, checksum }: HeadEnds): string {
  if (!checksum) return start + body + end;
  const counted = (checksum.withStart ? start : '') + body + (checksum.afterEnd ? end : '');
  const sum = checksumText(counted, checksum);
  return checksum.afterEnd ? start + body + end + sum : start + body + sum + end;
}

function checksumText(counted: string, { kind, form }: HeadChecksum): string {
  const value = checksumOf(counted, kind);
  const bytes = kind === 'modbus' ? [Math.floor(value / 256), value % 256] : [value];
  if (form === 'raw') return String.fromCharCode(...bytes);
  return bytes.map((byte) => byte.toString(16).toUpperCase().padStart(2, '0')).join('');
}

/** Computed bit by bit, so that it shares nothing with the table-driven one of the decoder. */
function checksumOf(counted: string, kind: HeadChecksum['kind']): number {
  let sum = 0;
  let xor = 0;
  let crc = 0xffff;
  for (let i = 0; i < counted.length; i++) {
    const byte = counted.charCodeAt(i);
    sum = (sum + byte) % 256;
    xor ^= byte;
    crc ^= byte;
    for (let bit = 0; bit < 8; bit++) crc = crc % 2 === 1 ? (crc >> 1) ^ 0xa001 : crc >> 1;
  }
  if (kind === 'sum8') return sum;
  if (kind === 'xor') return xor;
  return kind === 'lrc' ? (256 - sum) % 256 : crc;
}
