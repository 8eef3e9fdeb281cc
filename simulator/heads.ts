/**
 * Weigh heads that nobody has a manual for: a seed makes a head with its own way of writing a
 * reading. All of it is invented; the parts (a prefix, words for steady and moving, a padded
 * number, a unit, a check sum, an end) are what lines of text from instruments are made of.
 */
import { chooseEnds, wholeFrame, type HeadChecksum } from './head-ends.ts';
import {
  chooseNumber,
  chooseUnit,
  type HeadPoint,
  type HeadUnit,
  type NumberStyle,
} from './head-number.ts';
import { oneOf, pick, someOf } from './pick.ts';
import type { Random } from './random.ts';
import type { Serial } from './uart.ts';

/** A reading as the head has it, in its own unit. */
export interface HeadValue {
  /** The number in units of its last digit: 415 for 41.5. */
  digits: number;
  motion: boolean;
}

/** `none`: the frame does not tell motion. */
export type MotionKind = 'none' | 'word' | 'letter' | 'blank' | 'bits';

export interface Head {
  serial: Serial;
  /** From one frame to the next. */
  periodMs: number;
  unit: HeadUnit;
  /** The frame names the unit. */
  unitShown: boolean;
  /** Smallest step, in units of the last digit. */
  step: number;
  decimals: number;
  point: HeadPoint;
  /** The bytes that open a frame (may be none) and close it. */
  start: string;
  end: string;
  checksum: HeadChecksum | null;
  /** Columns of the number in the body, from 0, `to` left out; null where the width varies. */
  columns: { from: number; to: number } | null;
  motion: MotionKind;
  /** The whole frame; `count` is how many were sent before. */
  frame(value: HeadValue, count: number): string;
}

/** A part of a frame; `digits`: it may begin or end with a digit. */
interface Piece {
  text: (value: HeadValue, count: number) => string;
  digits: boolean;
}

const constant = (words: string): Piece => ({ text: () => words, digits: false });

const LETTERS = 'ABCDEFGHIJKLMNOPQRSTUVWXYZ';
const DIGITS = '0123456789';

/** Makes a head; everything about it follows from the random source. */
export function createHead(random: Random): Head {
  const framing = pick(random, FRAMINGS);
  const baud = pick(random, BAUDS);
  const number = chooseNumber(random);
  const unit = chooseUnit(random, number);
  const separator = chooseSeparator(random, number.point);
  const motion = chooseMotion(random);
  const ends = chooseEnds(random, framing);
  const before = choosePrefix(random, separator);
  if (motion.first) before.push(motion.piece);
  if (random.chance(0.3)) before.push(constant(oneOf(random, ['GS', 'G', 'GROSS', 'GR'])));
  const after = motion.first || motion.kind === 'none' ? [] : [motion.piece];
  after.push(...chooseTail(random, number));
  const head = (value: HeadValue, count: number): string =>
    before.map((piece) => piece.text(value, count) + separator).join('');
  const tail = (value: HeadValue, count: number): string =>
    unit.text + follow(after, unit.text === '', separator, value, count);
  const body = (value: HeadValue, count: number): string =>
    head(value, count) + number.write(value.digits) + tail(value, count);
  const nothing: HeadValue = { digits: 0, motion: false };
  const from = head(nothing, 0).length;
  return {
    serial: { baud, framing },
    periodMs: choosePeriod(random, baud, body(nothing, 0).length + 8),
    unit: unit.unit,
    unitShown: unit.text !== '',
    step: number.step,
    decimals: number.decimals,
    point: number.point,
    ...ends,
    columns: number.fixed ? { from, to: from + number.write(0).length } : null,
    motion: motion.kind,
    frame: (value, count) => wholeFrame(body(value, count), ends),
  };
}

/** Two pieces with digits that ran into one another could not be told apart by anybody. */
function follow(
  pieces: Piece[],
  afterDigits: boolean,
  separator: string,
  value: HeadValue,
  count: number,
): string {
  let digits = afterDigits;
  let out = '';
  for (const piece of pieces) {
    out +=
      (digits && piece.digits && separator === '' ? ' ' : separator) + piece.text(value, count);
    digits = piece.digits;
  }
  return out;
}

const FRAMINGS = [
  [58, '8N1'],
  [16, '7E1'],
  [6, '7O1'],
  [6, '8N2'],
  [5, '8E1'],
  [3, '8O1'],
  [3, '7N2'],
  [3, '7N1'],
] as const;

const BAUDS = [
  [6, 1200],
  [7, 2400],
  [8, 4800],
  [45, 9600],
  [12, 19200],
  [8, 38400],
  [5, 57600],
  [9, 115200],
] as const;

/** 50 ms to 1 s, and long enough for a frame of `longest` bytes. */
function choosePeriod(random: Random, baud: number, longest: number): number {
  const nominal = oneOf(random, [50, 67, 80, 100, 100, 125, 200, 200, 250, 333, 500, 1000]);
  const least = (longest * 11 * 1000 * 1.1) / baud;
  return Math.min(1000, Math.max(50, least, nominal * random.between(0.98, 1.02)));
}

function chooseSeparator(random: Random, point: HeadPoint): string {
  return pick(random, [
    [30, ''],
    [30, ' '],
    [22, point === ',' ? ';' : ','],
    [8, ';'],
    [5, ':'],
    [5, '|'],
  ] as const);
}

function choosePrefix(random: Random, separator: string): Piece[] {
  if (random.chance(0.5)) return [];
  const letters = someOf(random, LETTERS, 1 + Math.floor(random.even() * 3));
  if (separator === '' || !random.chance(0.4)) return [constant(letters)];
  const digits = someOf(random, DIGITS, random.chance(0.5) ? 1 : 2);
  return [constant(random.chance(0.3) ? digits : letters + digits)];
}

interface MotionStyle {
  kind: MotionKind;
  /** Before the number, or after it. */
  first: boolean;
  piece: Piece;
}

function chooseMotion(random: Random): MotionStyle {
  const kind = pick(random, [
    [18, 'none'],
    [34, 'word'],
    [18, 'letter'],
    [20, 'blank'],
    [10, 'bits'],
  ] as const);
  if (kind === 'bits') return { kind, first: false, piece: statusBits(random) };
  const [steady, moving] = motionTexts(random, kind);
  const text = ({ motion }: HeadValue): string => (motion ? moving : steady);
  return { kind, first: random.chance(0.7) && kind !== 'none', piece: { text, digits: false } };
}

/** One character from 0x30 on, of which one bit is motion and another may be zero. */
function statusBits(random: Random): Piece {
  const bit = 1 << Math.floor(random.even() * 3);
  const zeroBit = random.chance(0.4) ? (bit === 4 ? 1 : bit * 2) : 0;
  const text = ({ motion, digits }: HeadValue): string =>
    String.fromCharCode(0x30 + (motion ? bit : 0) + (digits === 0 ? zeroBit : 0));
  return { text, digits: true };
}

function motionTexts(random: Random, kind: MotionKind): [string, string] {
  if (kind === 'none') return ['', ''];
  if (kind === 'blank') return [' ', oneOf(random, ['M', '*', '?', '~', 'U'])];
  if (random.chance(0.55))
    return kind === 'letter' ? ['S', oneOf(random, ['M', 'U', 'D'])] : ['ST', 'US'];
  const length = kind === 'letter' ? 1 : 2 + Math.floor(random.even() * 2);
  const steady = someOf(random, LETTERS, length);
  let moving = someOf(random, LETTERS, length);
  while (moving === steady) moving = someOf(random, LETTERS, length);
  return [steady, moving];
}

function chooseTail(random: Random, number: NumberStyle): Piece[] {
  const tail = pick(random, [
    [62, 'none'],
    [14, 'letters'],
    [10, 'tare'],
    [8, 'counter'],
    [6, 'blanks'],
  ] as const);
  if (tail === 'letters')
    return [constant(someOf(random, LETTERS, 1 + Math.floor(random.even() * 2)))];
  if (tail === 'tare') {
    const tare = random.chance(0.7) ? 0 : 20 * number.step;
    return [{ text: () => number.write(tare), digits: true }];
  }
  if (tail === 'counter') {
    const size = random.chance(0.5) ? 100 : 1000;
    const width = size === 100 ? 2 : 3;
    return [{ text: (_, count) => String(count % size).padStart(width, '0'), digits: true }];
  }
  return tail === 'blanks' ? [constant('  ')] : [];
}
