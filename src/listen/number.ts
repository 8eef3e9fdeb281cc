/** Which number of a frame is the weight, in which columns it stands, and what stands round it. */
import { middle, mostCommon, type Frame } from './split.ts';

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
  point: '.' | ',' | null;
  /** Digits after the point; 0 where none is written. */
  decimals: number;
  /** Fewest digits that were written. */
  fewest: number;
  padding: 'noughts' | 'blanks' | 'none';
  unit: Unit | null;
  /** As it stands behind the weight, with the blanks before it. */
  unitText: string;
  /** Another number might be the weight as well. */
  rival: boolean;
  evidence: string[];
}

interface Token {
  /** Place of the first digit, and one past the last. */
  from: number;
  to: number;
  /** One past the token before, or 0. */
  after: number;
  text: string;
}

const UNIT = /^( *)(kg|KG|Kg|lbs|lb|LB|Lb|g(?![A-Za-z])|t(?![A-Za-z]))(?![a-z])/;

/** Finds the weight in the bodies; null where no number is in most of them. */
export function findWeight(frames: readonly Frame[]): WeightField | null {
  const point = pointOf(frames);
  const rows = frames.map((frame) => ({ frame, tokens: tokensOf(frame.body, point) }));
  const usual = mostCommon(rows.map(({ tokens }) => tokens.length));
  if (usual === null || usual.value === 0 || usual.count < frames.length * 0.5) return null;
  const same = rows.filter(({ tokens }) => tokens.length === usual.value);
  const scores = Array.from({ length: usual.value }, (_, j) => {
    const parts = same.flatMap(({ frame, tokens }) => {
      const token = tokens[j];
      return token ? [{ frame, token }] : [];
    });
    return { parts, score: scoreOf(parts, point) };
  });
  scores.sort((a, b) => b.score - a.score);
  const [best, second] = scores;
  if (!best) return null;
  const rival = second !== undefined && best.score - second.score < 1.5;
  return fieldOf(best.parts, point, rival);
}

/** The decimal point that most bodies show. */
function pointOf(frames: readonly Frame[]): '.' | ',' | null {
  const share = (regex: RegExp): number =>
    frames.filter(({ body }) => regex.test(body)).length / Math.max(1, frames.length);
  if (share(/\d\.\d/) > 0.6) return '.';
  if (share(/(?<![\d,])\d+,\d{1,3}(?![\d,])/) <= 0.6) return null;
  const widths = frames.flatMap(({ body }) => {
    const found = /(?<![\d,])\d+,(\d+)/.exec(body)?.[1];
    return found === undefined ? [] : [found.length];
  });
  const usual = mostCommon(widths);
  return usual !== null && usual.count > widths.length * 0.95 ? ',' : null;
}

function tokensOf(body: string, point: '.' | ',' | null): Token[] {
  const regex = point === '.' ? /\d+(?:\.\d+)?/g : point === ',' ? /\d+(?:,\d+)?/g : /\d+/g;
  const tokens: Token[] = [];
  for (const match of body.matchAll(regex)) {
    const to = match.index + match[0].length;
    tokens.push({ from: match.index, to, after: tokens.at(-1)?.to ?? 0, text: match[0] });
  }
  return tokens;
}

interface Part {
  frame: Frame;
  token: Token;
}

function digitsOf(text: string): number {
  return Number(text.replace(/[.,]/, ''));
}

/** How much a number looks like the weight. */
function scoreOf(parts: readonly Part[], point: '.' | ',' | null): number {
  const share = (is: (part: Part) => boolean): number =>
    parts.filter(is).length / Math.max(1, parts.length);
  const values = parts.map(({ token }) => digitsOf(token.text));
  const different = new Set(values).size;
  let score = 0;
  if (share(({ frame, token }) => UNIT.test(frame.body.slice(token.to))) > 0.8) score += 4;
  if (share(({ frame, token }) => /(kg|lb) *[-+]? *$/i.test(frame.body.slice(0, token.from))) > 0.8)
    score += 2;
  if (point !== null && share(({ token }) => token.text.includes(point)) > 0.8) score += 2;
  if (different > 1) score += 1;
  if (different > 3) score += 2;
  if (share(({ frame, token }) => /[-+] *$/.test(frame.body.slice(0, token.from))) > 0.8)
    score += 1;
  if (share(({ frame, token }) => /  $/.test(frame.body.slice(0, token.from))) > 0.5) score += 1;
  if (share(({ token }) => token.text.length >= 4) > 0.8) score += 1;
  if (share(({ token }) => token.text.length === 1) > 0.9) score -= 1;
  return counts(values) ? score - 10 : score;
}

/** It goes up by one from frame to frame. */
function counts(values: readonly number[]): boolean {
  const steps = values.slice(1).map((value, i) => value - (values[i] ?? 0));
  return steps.length >= 2 && steps.filter((step) => step === 1).length > steps.length * 0.5;
}

/** Values that are no accident: not the few that damage leaves. */
function usual(values: readonly number[]): number[] {
  const counted = new Map<number, number>();
  for (const value of values) counted.set(value, (counted.get(value) ?? 0) + 1);
  const least = values.length < 20 ? 1 : Math.max(2, values.length * 0.02);
  const kept = [...counted].filter(([, count]) => count >= least).map(([value]) => value);
  return kept.length > 0 ? kept : [middle(values)];
}

function fieldOf(
  parts: readonly Part[],
  point: '.' | ',' | null,
  rival: boolean,
): WeightField | null {
  const lengths = mostCommon(parts.map(({ frame }) => frame.body.length));
  if (lengths === null) return null;
  const decimals = mostCommon(parts.map(({ token }) => fraction(token.text).length))?.value ?? 0;
  const sized = parts.filter(({ frame }) => frame.body.length === lengths.value);
  const fixed = sized.length >= parts.length * 0.85 ? columnsOf(sized) : null;
  const room = fixed === null ? 0 : fixed.to - fixed.from - (decimals > 0 ? decimals + 1 : 0);
  // A field without room for a sheep's weight grows when one comes on.
  const columns = room >= 3 ? fixed : null;
  const cut = columns === null ? parts.map(openRow) : sized.map((part) => fixedRow(part, columns));
  const rows = alike(cut.filter((row) => row !== null && decimalsFit(row, decimals)) as Row[]);
  if (rows.length === 0) return null;
  const texts = rows.map(({ text }) => text.replace(/[-+ ]/g, ''));
  const unit = unitOf(rows);
  return {
    rows,
    columns,
    point: decimals > 0 ? point : null,
    decimals,
    fewest: Math.min(...texts.map((text) => text.replace(/[.,]/, '').length)),
    padding: paddingOf(texts, columns),
    ...unit,
    rival,
    evidence: evidenceOf(rows, columns, decimals > 0 ? point : null, decimals),
  };
}

function fraction(text: string): string {
  return /[.,](\d+)/.exec(text)?.[1] ?? '';
}

function decimalsFit(row: Row, decimals: number): boolean {
  return fraction(row.text).length === decimals;
}

/** Only rows with the usual widths left and right of the weight. */
function alike(rows: Row[]): Row[] {
  const left = mostCommon(rows.map((row) => row.left.length))?.value;
  const right = mostCommon(rows.map((row) => row.right.length))?.value;
  return rows.filter((row) => row.left.length === left && row.right.length === right);
}

/** Where all the numbers, their signs and their padding lie. */
function columnsOf(parts: readonly Part[]): { from: number; to: number } {
  const first = Math.min(...usual(parts.map(({ token }) => token.from)));
  const begins = parts.map(({ frame, token }) => {
    const before = frame.body.slice(token.after, token.from);
    return token.after + before.length - (/[-+ ]*$/.exec(before)?.[0].length ?? 0);
  });
  const from = Math.min(first, Math.max(...usual(begins)));
  const ends = usual(parts.map(({ token }) => token.to));
  let to = Math.max(...ends);
  const left = ends.length > 1 || (first === from && /^ {2}/.test(behind(parts, to)));
  const blank = (at: number): boolean =>
    parts.filter(({ frame }) => frame.body[at] === ' ').length > parts.length * 0.97;
  if (left) while (blank(to)) to += 1;
  return { from, to };
}

function behind(parts: readonly Part[], at: number): string {
  return mostCommon(parts.map(({ frame }) => frame.body.slice(at)))?.value ?? '';
}

function fixedRow({ frame }: Part, { from, to }: { from: number; to: number }): Row | null {
  const { body } = frame;
  return row(frame, body.slice(0, from), body.slice(from, to), body.slice(to));
}

function openRow({ frame, token }: Part): Row | null {
  const { body } = frame;
  const signed = /[-+]/.test(body[token.from - 1] ?? '');
  const from = token.from - (signed ? 1 : 0);
  return row(frame, body.slice(0, from), body.slice(from, token.to), body.slice(token.to));
}

function row(frame: Frame, left: string, text: string, right: string): Row | null {
  const match = /^ *([-+]?) *(\d+(?:[.,]\d+)?) *$/.exec(text);
  if (!match) return null;
  const size = digitsOf(match[2] ?? '');
  return {
    t: frame.t,
    frame,
    left,
    text,
    right,
    digits: match[1] === '-' && size > 0 ? -size : size,
  };
}

function paddingOf(texts: readonly string[], columns: unknown): WeightField['padding'] {
  if (texts.some((text) => /^0\d/.test(text)) && new Set(texts.map((t) => t.length)).size === 1)
    return 'noughts';
  return columns === null ? 'none' : 'blanks';
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
  columns: WeightField['columns'],
  point: string | null,
  decimals: number,
): string[] {
  const values = rows.map(({ digits }) => digits);
  const where =
    columns === null
      ? `between ${JSON.stringify(rows[0]?.left)} and ${JSON.stringify(rows[0]?.right)}, as wide as it needs`
      : `in columns ${columns.from + 1} to ${columns.to} after the start`;
  const low = Math.min(...values) / Number(`1e${decimals}`);
  const high = Math.max(...values) / Number(`1e${decimals}`);
  return [
    `weight: the number ${where}, from ${low} to ${high} in ${rows.length} frames`,
    point === null
      ? 'point: none is written'
      : `point: "${point}" with ${decimals} digits after it in every frame`,
  ];
}
