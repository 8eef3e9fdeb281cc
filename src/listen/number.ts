/** Which number of a frame is the weight, in which columns it stands, and what stands round it. */
import { middle, mostCommon, type Frame } from './split.ts';
import { digitsOf, likeliest, pointOf, UNIT, type Part, type Point } from './tokens.ts';

export type Unit = 'kg' | 'lb' | 'g' | 't';

/** A frame with its weight picked out. */
export interface Row {
  t: number;
  frame: Frame;
  left: string;
  /** The weight's columns, with sign and padding. */
  text: string;
  right: string;
  /** In units of the last digit, with its sign. */
  digits: number;
}

export interface WeightField {
  rows: Row[];
  /** Columns of the body from 0, `to` left out; null where the width varies. */
  columns: { from: number; to: number } | null;
  point: Point;
  /** Digits after the point; 0 where none is written. */
  decimals: number;
  unit: Unit | null;
  /** As it stands behind the weight, with the blanks before it. */
  unitText: string;
  /** Another number might be the weight as well. */
  rival: boolean;
  evidence: string[];
}

/** Digits before the point that a heavy ewe needs, in kg or pounds. */
const ROOM = 3;

/**
 * Finds the weight in the bodies; null where no number is in most of them.
 * @param whole a check sum proves each of them: none is damaged
 */
export function findWeight(frames: readonly Frame[], whole: boolean): WeightField | null {
  const point = pointOf(frames);
  const found = likeliest(frames, point);
  if (found === null) return null;
  const { parts, rival } = found;
  const decimals = mostCommon(parts.map(({ token }) => fraction(token.text).length))?.value ?? 0;
  const rows = rowsOf(parts, decimals);
  if (rows.length === 0) return null;
  const columns = columnsOf(rows, decimals, whole);
  const sized = columns === null ? rows : rows.filter(({ text }) => text.length === columns.width);
  return {
    rows: sized,
    columns: columns === null ? null : { from: columns.from, to: columns.from + columns.width },
    point: decimals > 0 ? point : null,
    decimals,
    ...unitOf(sized),
    rival,
    evidence: evidenceOf(sized, columns !== null, decimals > 0 ? point : null, decimals),
  };
}

function fraction(text: string): string {
  return /[.,](\d+)/.exec(text)?.[1] ?? '';
}

/** Values that are no accident: not the few that damage leaves. */
function usual(values: readonly number[]): number[] {
  const counted = new Map<number, number>();
  for (const value of values) counted.set(value, (counted.get(value) ?? 0) + 1);
  const least = values.length < 8 ? 1 : Math.max(2, values.length * 0.05);
  const kept = [...counted].filter(([, count]) => count >= least).map(([value]) => value);
  return kept.length > 0 ? kept : [middle(values)];
}

/**
 * Cuts each body in what stands left of the weight, the weight with its sign and padding, and what
 * stands right of it. Left and right are as wide in every frame; the weight may grow.
 */
function rowsOf(parts: readonly Part[], decimals: number): Row[] {
  const whole = parts.filter(({ token }) => fraction(token.text).length === decimals);
  const length = mostCommon(whole.map(({ frame }) => frame.body.length))?.value;
  // Where a byte was lost or one too many came, the places are others.
  const usualLong = whole.filter(({ frame }) => frame.body.length === length);
  const begins = usualLong.map(({ frame, token }) => {
    const before = frame.body.slice(token.after, token.from);
    return token.from - (/[-+ ]*$/.exec(before)?.[0].length ?? 0);
  });
  const ends = usualLong.map(({ frame, token }) => {
    const behind = frame.body.slice(token.to, token.before);
    return frame.body.length - token.to - (/^ */.exec(behind)?.[0].length ?? 0);
  });
  const left = columnOf(begins);
  const right = columnOf(ends);
  // Blanks behind belong to the weight only where they make up for its digits.
  const padded = padsRight(usualLong, right);
  const tails = usualLong.map(({ frame, token }) => frame.body.length - token.to);
  const tail = padded ? right : (mostCommon(tails)?.value ?? right);
  const rows = whole.flatMap(({ frame }) => {
    const row = cut(frame, left, tail);
    return row !== null && fraction(row.text).length === decimals ? [row] : [];
  });
  const usualLeft = mostCommon(rows.map((row) => row.left))?.value ?? '';
  const usualRight = mostCommon(rows.map((row) => row.right))?.value ?? '';
  return rows.filter((row) => !slipped(row, usualLeft, usualRight));
}

/** Whether a byte was lost beside the number, so that a piece of the number stands in its place. */
function slipped(row: Row, left: string, right: string): boolean {
  const last = row.left.slice(-1);
  const first = row.right.slice(0, 1);
  return (
    (last !== left.slice(-1) && /[-+0-9]/.test(last) && lacksOne(row.left.slice(0, -1), left)) ||
    (first !== right.slice(0, 1) && /[0-9]/.test(first) && lacksOne(row.right.slice(1), right))
  );
}

/** Whether it is the other text with one character left out. */
function lacksOne(text: string, whole: string): boolean {
  if (text.length !== whole.length - 1) return false;
  return Array.from(whole).some((_, i) => text === whole.slice(0, i) + whole.slice(i + 1));
}

/** The farthest that is no accident: a blank beside it may stand for a mark. */
function columnOf(places: readonly number[]): number {
  return Math.max(...usual(places));
}

/** Whether numbers of different width begin alike and blanks follow the shorter ones. */
function padsRight(parts: readonly Part[], right: number): boolean {
  const gaps = parts.map(({ frame, token }) => frame.body.length - right - token.to);
  const kept = usual(gaps);
  const most = Math.max(...kept);
  if (most < 2) return false;
  if (kept.length > 1) return true;
  // Always as many: padding rather than a divider where the number begins hard by what is left.
  return parts.every(({ frame, token }) => frame.body[token.from - 1] !== ' ');
}

function cut(frame: Frame, left: number, tail: number): Row | null {
  const { body } = frame;
  const to = body.length - tail;
  if (to <= left) return null;
  const text = body.slice(left, to);
  const match = /^ *([-+]?) *(\d+(?:[.,]\d+)?) *$/.exec(text);
  if (!match) return null;
  const size = digitsOf(match[2] ?? '');
  return {
    t: frame.t,
    frame,
    left: body.slice(0, left),
    text,
    right: body.slice(to),
    digits: match[1] === '-' && size > 0 ? -size : size,
  };
}

/** The columns of a field that is always as wide; null where it grows, or would for an animal. */
function columnsOf(
  rows: readonly Row[],
  decimals: number,
  whole: boolean,
): { from: number; width: number } | null {
  const width = mostCommon(rows.map(({ text }) => text.length))?.value;
  if (width === undefined || grows(rows, width, whole)) return null;
  const signed = rows.filter(({ text }) => /^[-+]/.test(text)).length > rows.length * 0.8;
  const room = width - (decimals > 0 ? decimals + 1 : 0) - (signed ? 1 : 0);
  return room < ROOM ? null : { from: rows[0]?.left.length ?? 0, width };
}

/** Whether frames of another width are no damage: so many, with the same text round the weight. */
function grows(rows: readonly Row[], width: number, whole: boolean): boolean {
  const round = ({ left, right }: Row): string => `${left}\n${right.replace(/[0-9]/g, '0')}`;
  const same = rows.filter(({ text }) => text.length === width);
  const known = new Set(same.map(round));
  const differing = rows.filter((row) => row.text.length !== width);
  const counted = new Map<string, number>();
  for (const row of differing) counted.set(round(row), (counted.get(round(row)) ?? 0) + 1);
  // Damage hardly ever looks the same three times.
  const others = differing.filter(
    (row) => known.has(round(row)) || (counted.get(round(row)) ?? 0) > 2,
  );
  return others.length > (whole ? 0 : same.length * 0.08);
}

function unitOf(rows: readonly Row[]): { unit: Unit | null; unitText: string } {
  const after = mostCommon(rows.map((row) => UNIT.exec(row.right)?.[0] ?? ''));
  const before = mostCommon(rows.map((row) => /(kg|lb) *$/i.exec(row.left)?.[1] ?? ''));
  const text = after !== null && after.count > rows.length * 0.8 ? after.value : '';
  const word = (text === '' ? (before?.value ?? '') : text).trim().toLowerCase();
  const unit = word === 'lbs' ? 'lb' : word;
  return { unit: unit === '' ? null : (unit as Unit), unitText: text };
}

function evidenceOf(
  rows: readonly Row[],
  fixed: boolean,
  point: Point,
  decimals: number,
): string[] {
  const values = rows.map(({ digits }) => digits);
  const [first] = rows;
  const from = first?.left.length ?? 0;
  const where = fixed
    ? `in columns ${from + 1} to ${from + (first?.text.length ?? 0)} after the start`
    : `between ${JSON.stringify(first?.left)} and ${JSON.stringify(first?.right)}, as wide as it needs`;
  const low = Math.min(...values) / Number(`1e${decimals}`);
  const high = Math.max(...values) / Number(`1e${decimals}`);
  return [
    `weight: the number ${where}, from ${low} to ${high} in ${rows.length} frames`,
    point === null
      ? 'point: none is written'
      : `point: "${point}" with ${decimals} digits after it in every frame`,
  ];
}
