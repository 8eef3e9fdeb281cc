/** Whether frames carry a check sum, and which: all that a profile can name are tried. */
import { crc, lrcSum, NAMED_CRC, plainSum, xorSum, type Sum } from '../config/frames/checksum.ts';
import type { Frame, Split } from './split.ts';

export interface FoundSum {
  kind: 'sum8' | 'sum16' | 'xor' | 'lrc' | 'crc';
  crc?: 'kermit' | 'modbus';
  place: 'last' | 'after-end';
  form: 'raw' | 'hex';
  lowFirst: boolean;
  withStart: boolean;
  withEnd: boolean;
  /** Bytes that it takes. */
  size: number;
  /** How many different frames it proved right. */
  proved: number;
}

const KINDS: { kind: FoundSum['kind']; crc?: 'kermit' | 'modbus'; bytes: number; sum: Sum }[] = [
  { kind: 'xor', bytes: 1, sum: xorSum },
  { kind: 'sum8', bytes: 1, sum: plainSum(8) },
  { kind: 'lrc', bytes: 1, sum: lrcSum },
  { kind: 'crc', crc: 'modbus', bytes: 2, sum: crc(NAMED_CRC.modbus) },
  { kind: 'crc', crc: 'kermit', bytes: 2, sum: crc(NAMED_CRC.kermit) },
  { kind: 'sum16', bytes: 2, sum: plainSum(16) },
];

/** The check sum of the frames; null where none explains them. */
export function findSum(split: Split): FoundSum | null {
  const { frames, start, end, afterEnd } = split;
  // Damaged frames are all different, so the share counts each as often as it came.
  const some = frames.slice(-200);
  let best: FoundSum | null = null;
  let bestShare = 0;
  for (const way of ways(afterEnd, start !== '')) {
    const right = some.filter((frame) => proves(frame, start, end, way));
    const share = right.length / some.length;
    const proved = new Set(right.map(({ whole }) => whole)).size;
    if (share > bestShare) [best, bestShare] = [{ ...way.found, proved }, share];
  }
  if (best === null) return null;
  // One frame over and over may be right by chance; of several, some are damaged.
  return bestShare >= (best.proved < 2 ? 0.9 : 0.5) ? best : null;
}

/** Whether the frame is what its check sum says. */
export function provedBy(frame: Frame, { start, end }: Split, found: FoundSum): boolean {
  const way = KINDS.find(({ kind, crc: name }) => kind === found.kind && name === found.crc);
  return way !== undefined && proves(frame, start, end, { found, sum: way.sum });
}

interface Way {
  found: Omit<FoundSum, 'proved'>;
  sum: Sum;
}

function ways(afterEnd: number, hasStart: boolean): Way[] {
  const all: Way[] = [];
  for (const { kind, crc: name, bytes, sum } of KINDS)
    for (const form of ['hex', 'raw'] as const)
      for (const withStart of hasStart ? [false, true] : [false])
        for (const withEnd of afterEnd > 0 ? [true, false] : [false])
          for (const lowFirst of bytes === 2 ? [false, true] : [false]) {
            const size = bytes * (form === 'hex' ? 2 : 1);
            if (afterEnd > 0 && size !== afterEnd) continue;
            const place = afterEnd > 0 ? ('after-end' as const) : ('last' as const);
            const named = name === undefined ? {} : { crc: name };
            const found = { kind, ...named, place, form, lowFirst, withStart, withEnd, size };
            all.push({ found, sum });
          }
  return all;
}

function proves(frame: Frame, start: string, end: string, { found, sum }: Way): boolean {
  const last = found.place === 'last';
  const carried = last ? frame.body.slice(-found.size) : frame.after;
  const body = last ? frame.body.slice(0, -found.size) : frame.body;
  if (body.length === 0) return false;
  const counted = (found.withStart ? start : '') + body + (found.withEnd ? end : '');
  const bytes = Uint8Array.from(counted, (char) => char.charCodeAt(0));
  return numberOf(carried, found) === sum(bytes, 0, bytes.length);
}

function numberOf(text: string, { form, lowFirst }: Way['found']): number {
  if (form === 'hex' && !/^[0-9A-Fa-f]+$/.test(text)) return -1;
  const bytes =
    form === 'raw'
      ? Array.from(text, (char) => char.charCodeAt(0))
      : (text.match(/../g) ?? []).map((pair) => parseInt(pair, 16));
  if (lowFirst) bytes.reverse();
  return bytes.reduce((value, byte) => value * 256 + byte, 0);
}
