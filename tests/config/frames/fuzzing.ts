/**
 * Bytes as a bad line gives them, and a second, naive reading of the same bytes by splitting and
 * whole-line regular expressions, with which the decoders must agree reading for reading.
 */
import { createDecoder } from '../../../src/config/frames/decode.ts';
import type { ScaleProfile } from '../../../src/config/frames/schema.ts';
import { createTagDecoder } from '../../../src/config/frames/tag.ts';
import { shippedReader, shippedScale } from './shipped.ts';

/** xorshift32: whole numbers from 0 to below `n`, the same for the same seed. */
export function random(seed: number): (n: number) => number {
  let state = seed | 0 || 1;
  return (n) => {
    state ^= state << 13;
    state ^= state >>> 17;
    state ^= state << 5;
    return (state >>> 0) % n;
  };
}

type Below = (n: number) => number;

const HURTS = ['whole', 'cut', 'merged', 'doubled', 'flipped', 'noise'] as const;
type Hurt = (typeof HURTS)[number];

/** One piece of the stream: a frame, hurt in one of the ways, or plain noise. */
function piece(frame: Buffer, hurt: Hurt, below: Below): Buffer {
  switch (hurt) {
    case 'whole':
      return frame;
    case 'cut': {
      const from = below(frame.length);
      return frame.subarray(from, from + below(frame.length - from + 1));
    }
    case 'merged':
      return Buffer.concat([frame.subarray(0, below(frame.length)), frame]);
    case 'doubled': {
      const at = below(frame.length);
      return Buffer.concat([frame.subarray(0, at + 1), frame.subarray(at)]);
    }
    case 'flipped': {
      const out = Buffer.from(frame);
      const at = below(out.length);
      out[at] = (out[at] ?? 0) ^ (1 << below(8));
      return out;
    }
    case 'noise':
      return Buffer.from(Array.from({ length: 1 + below(60) }, () => below(256)));
  }
}

export interface Subject {
  name: string;
  /** A frame of the profile. */
  frame: (below: Below) => Buffer;
  /** What the decoder gives for these bytes. */
  decoder: () => { push: (bytes: Uint8Array) => unknown[]; held: number; noise: number };
  /** The same from the whole stream at once, by other means. */
  naive: (stream: string) => unknown[];
  /** A check sum proves frames: one flipped bit gives nothing. */
  proved: boolean;
}

function kilos(below: Below): string {
  return (below(1200) / 10).toFixed(1);
}

function scale(name: string, profile: ScaleProfile): Pick<Subject, 'name' | 'decoder'> {
  return {
    name,
    decoder() {
      const decoder = createDecoder(profile);
      return wrap(decoder, (bytes) => decoder.push(bytes).map(({ kg }) => kg));
    },
  };
}

type Counts = ReturnType<Subject['decoder']>;

function wrap(
  decoder: { readonly held: number; readonly noise: number },
  push: Counts['push'],
): Counts {
  return {
    push,
    get held() {
      return decoder.held;
    },
    get noise() {
      return decoder.noise;
    },
  };
}

const PLAIN = /^(ST|US|OL|UL|ER),(?:GS|NT),([-+])([ 0-9.]{5,9}|-{5,9})(kg|lb|g|t)$/;

/** Lines between CR and LF, the first dropped, each as wide as the last two that agreed. */
function naivePlain(stream: string): unknown[] {
  const lines = stream.split(/[\r\n]/).slice(1, -1);
  const shaped = lines.map((line) => PLAIN.exec(line)).filter((match) => match !== null);
  const given: unknown[] = [];
  const agreed: number[] = [];
  for (const [index, [line, state, sign = '', number = '', unit = '']] of shaped.entries()) {
    if (shaped[index - 1]?.[0].length === line.length) agreed.push(line.length);
    if (agreed.at(-1) !== line.length) continue;
    if (number.startsWith('--') || !/[SU][TS]/.test(state ?? '')) given.push(null);
    else if (/^ *\d+(\.\d+)? *$/.test(number)) given.push(inKg(Number(sign + number.trim()), unit));
  }
  return given;
}

function inKg(value: number, unit: string): number {
  const factors: Record<string, number> = { kg: 1, lb: 0.45359237, g: 0.001, t: 1000 };
  const kg = Math.round(Math.abs(value) * (factors[unit] ?? NaN) * 10_000) / 10_000;
  return value < 0 ? -kg : kg;
}

const SCP =
  /^[ ZOUEIT][123]([GNgn])[ M][^](?: *(-?\d+(?:\.\d+)?)|-{10})(kg[ _]|lb[ _]|g {2}|g__|t {2}|t__)$/;

/** What stands between CR and the LF before it, 18 bytes. */
function naiveScp(stream: string): unknown[] {
  const given: unknown[] = [];
  for (const line of stream.split('\r').slice(0, -1)) {
    const body = line.slice(line.lastIndexOf('\n') + 1);
    const match = line.includes('\n') && body.length === 18 ? SCP.exec(body) : null;
    if (!match) continue;
    const bad = /^[OUEIT]/.test(body) || match[2] === undefined;
    given.push(bad ? null : inKg(Number(match[2]), (match[3] ?? '').replace(/[ _]/g, '')));
  }
  return given;
}

/** A profile made up here, with a CRC after the end in hex. */
function proved(): ScaleProfile {
  const base = shippedScale('scp-0499-asked');
  return {
    ...base,
    frame: { start: '\x02', end: '\x03', maxBytes: 64, first: 'drop' },
    body: { pattern: '(?<weight>[-0-9. ]{8})' },
    words: {},
    weight: { unit: 'kg', point: 'given', pointSign: '.' },
    checksum: {
      kind: 'crc',
      crc: 'kermit',
      place: 'after-end',
      form: 'hex',
      lowFirst: false,
      withStart: true,
      withEnd: true,
    },
  };
}

/** CRC-16/KERMIT bit by bit, another way than the table. */
function kermit(bytes: Uint8Array): number {
  let value = 0;
  for (const byte of bytes) {
    value ^= byte;
    for (let bit = 0; bit < 8; bit++) value = value & 1 ? (value >> 1) ^ 0x8408 : value >> 1;
  }
  return value;
}

function provedFrame(below: Below): Buffer {
  const body = Buffer.from(`\x02${kilos(below).padStart(8)}\x03`, 'latin1');
  return Buffer.concat([body, Buffer.from(kermit(body).toString(16).padStart(4, '0'))]);
}

function naiveProved(stream: string): unknown[] {
  const frames = stream.matchAll(/\x02([^\x02\x03]{8})\x03([0-9A-Fa-f]{4})/g);
  return [...frames].flatMap(([all, body, sum]) => {
    const covered = Buffer.from(all.slice(0, -4), 'latin1');
    const right = kermit(covered) === parseInt(sum ?? '', 16);
    return right && /^ *-?\d+(\.\d+)?$/.test(body ?? '') ? [Number(body)] : [];
  });
}

const TELEGRAM = Buffer.from('00339a080402079f8040797788040201', 'hex');

export const SUBJECTS: Subject[] = [
  {
    ...scale('plain-continuous', shippedScale('plain-continuous')),
    frame: (below) =>
      Buffer.from(`${below(4) ? 'ST' : 'US'},GS,+${kilos(below).padStart(7)}kg\r\n`),
    naive: naivePlain,
    proved: false,
  },
  {
    ...scale('scp-0499', shippedScale('scp-0499-repeating')),
    frame: (below) => Buffer.from(`\n${below(4) ? ' ' : 'Z'}1G  ${kilos(below).padStart(10)}kg \r`),
    naive: naiveScp,
    proved: false,
  },
  {
    ...scale('start, end and CRC', proved()),
    frame: provedFrame,
    naive: naiveProved,
    proved: true,
  },
  {
    name: 'digits-15',
    decoder() {
      const decoder = createTagDecoder(shippedReader('digits-15'));
      return wrap(decoder, (bytes) => decoder.push(bytes).map(({ tag }) => tag));
    },
    frame: (below) => Buffer.from(`999${String(below(1e9)).padStart(12, '0')}\r\n`),
    naive: (stream) =>
      stream
        .split(/[\r\n]/)
        .slice(0, -1)
        .map((line) => /^(?:LA|A)? ?(\d{3}) ?(\d{12})$/.exec(line))
        .filter((match) => match !== null && Number(match[1]) > 0)
        .filter((match) => Number(match?.[2]) < 2 ** 38)
        .map((match) => `${match?.[1] ?? ''}${match?.[2] ?? ''}`),
    proved: false,
  },
  {
    name: 'fdx-b',
    decoder() {
      const decoder = createTagDecoder(shippedReader('fdx-b'));
      return wrap(decoder, (bytes) => decoder.push(bytes).map(({ tag }) => tag));
    },
    frame: () => TELEGRAM,
    // Every bit but the trailer's 24 must stand; those are the last 27 with their control bits.
    naive: (stream) =>
      [...stream.matchAll(/(?=(\x003\x9a\x08\x04\x02\x07\x9f\x80\x40\x79\x77[\x88-\x8f][^]{3}))/g)]
        .filter(([, all]) => trailerStands(Buffer.from(all ?? '', 'latin1')))
        .map(() => '999000000001337'),
    proved: false,
  },
];

/** The three control bits of the trailer. */
function trailerStands(bytes: Buffer): boolean {
  return [109, 118, 127].every((bit) => ((bytes[bit >> 3] ?? 0) >> (7 - (bit & 7))) & 1);
}

export interface FuzzCounts extends Record<Hurt, number> {
  bytes: number;
  readings: number;
  /** The first stretch where decoder and naive reading differ, or null. */
  difference: string | null;
  mostHeld: number;
  noiseStretches: number;
}

/** Runs `bytes` bytes through one subject in blocks, each block through a fresh decoder. */
export function fuzz(subject: Subject, bytes: number, seed: number): FuzzCounts {
  const below = random(seed);
  const counts: FuzzCounts = {
    ...{ whole: 0, cut: 0, merged: 0, doubled: 0, flipped: 0, noise: 0 },
    ...{ bytes: 0, readings: 0, difference: null, mostHeld: 0, noiseStretches: 0 },
  };
  while (counts.bytes < bytes && counts.difference === null) block(subject, below, counts);
  return counts;
}

const BLOCK_BYTES = 64 * 1024;

function block(subject: Subject, below: Below, counts: FuzzCounts): void {
  const pieces: Buffer[] = [];
  let size = 0;
  // Whole frames more often than not, or hardly two would follow each other.
  while (size < BLOCK_BYTES) {
    const hurt = below(3) > 0 ? 'whole' : (HURTS[below(HURTS.length)] ?? 'noise');
    const next = piece(subject.frame(below), hurt, below);
    counts[hurt] += 1;
    size += next.length;
    pieces.push(next);
  }
  const stream = Buffer.concat(pieces);
  const decoder = subject.decoder();
  const given: unknown[] = [];
  for (let at = 0; at < stream.length;) {
    const to = at + 1 + below(below(10) ? 40 : 5000);
    given.push(...decoder.push(stream.subarray(at, to)));
    counts.mostHeld = Math.max(counts.mostHeld, decoder.held);
    at = to;
  }
  const wanted = subject.naive(stream.toString('latin1'));
  const at = given.findIndex((value, index) => value !== wanted[index]);
  if (at >= 0 || given.length !== wanted.length)
    counts.difference = `reading ${at} of ${given.length}: ${String(given[at])}, naive ${String(wanted[at])} of ${wanted.length}`;
  counts.bytes += stream.length;
  counts.readings += given.length;
  counts.noiseStretches += decoder.noise;
}
