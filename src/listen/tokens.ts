/** The numbers that stand in frames, and which of them looks like the weight. */
import { mostCommon, type Frame } from './split.ts';

export type Point = '.' | ',' | null;

interface Token {
  /** Place of the first digit, and one past the last. */
  from: number;
  to: number;
  /** One past the token before, or 0. */
  after: number;
  /** Where the next token begins, or the end of the body. */
  before: number;
  text: string;
}

export interface Part {
  frame: Frame;
  token: Token;
}

/** The parts that look most like the weight; null where no number is in most of the bodies. */
export function likeliest(
  frames: readonly Frame[],
  point: Point,
): { parts: Part[]; rival: boolean } | null {
  const rows = frames.map((frame) => ({ frame, tokens: tokensOf(frame.body, point) }));
  const most = Math.max(0, ...rows.map(({ tokens }) => tokens.length));
  const found = Array.from({ length: most }, (_, j) => {
    const parts = rows.flatMap(({ frame, tokens }) => {
      const token = tokens[j];
      return token ? [{ frame, token }] : [];
    });
    return { parts, score: scoreOf(parts, point) };
  }).filter(({ parts }) => parts.length >= frames.length * 0.6);
  found.sort((a, b) => b.score - a.score);
  const [best, second] = found;
  if (!best) return null;
  return {
    parts: best.parts,
    rival: second !== undefined && best.score - second.score < 1.5,
  };
}

/** The decimal point that most bodies show. */
export function pointOf(frames: readonly Frame[]): Point {
  const share = (regex: RegExp): number =>
    frames.filter(({ body }) => regex.test(body)).length / Math.max(1, frames.length);
  if (share(/\d\.\d/) > 0.6) return '.';
  // A comma that also divides other fields is no point, unless the unit follows.
  if (share(/\d,\d+ *(?:kg|lb|g)/i) <= 0.6 && share(/[^\d],|,[^\d]/) > 0.6) return null;
  if (share(/(?<![\d,])\d+,\d{1,3}(?![\d,])/) <= 0.6) return null;
  const fractions = frames.flatMap(
    ({ body }) => /(?<![\d,])\d+,(\d+)/.exec(body)?.slice(1, 2) ?? [],
  );
  const usual = mostCommon(fractions.map(({ length }) => length));
  if (usual === null || usual.count <= fractions.length * 0.95) return null;
  return counts(fractions.map(Number)) ? null : ',';
}

function tokensOf(body: string, point: Point): Token[] {
  const regex = point === '.' ? /\d+(?:\.\d+)?/g : point === ',' ? /\d+(?:,\d+)?/g : /\d+/g;
  const tokens: Token[] = [];
  for (const match of body.matchAll(regex)) {
    const to = match.index + match[0].length;
    const last = tokens.at(-1);
    if (last) last.before = match.index;
    tokens.push({
      ...{ from: match.index, to, after: last?.to ?? 0 },
      ...{ before: body.length, text: match[0] },
    });
  }
  return tokens;
}

export const UNIT = /^( *)(kg|KG|Kg|lbs|lb|LB|Lb|g(?![A-Za-z])|t(?![A-Za-z]))(?![a-z])/;

/** How much a number looks like the weight. */
function scoreOf(parts: readonly Part[], point: Point): number {
  const share = (is: (part: Part) => boolean): number =>
    parts.filter(is).length / Math.max(1, parts.length);
  const before = ({ frame, token }: Part): string => frame.body.slice(0, token.from);
  const values = parts.map(({ token }) => digitsOf(token.text));
  const different = lively(values);
  let score = 0;
  if (share(({ frame, token }) => UNIT.test(frame.body.slice(token.to))) > 0.8) score += 4;
  if (share((part) => /(kg|lb) *[-+]? *$/i.test(before(part))) > 0.8) score += 2;
  if (point !== null && share(({ token }) => token.text.includes(point)) > 0.8) score += 2;
  // What stands beside the weight, such as a tare, does not change by itself.
  if (different > 1) score += 2;
  if (different > 3) score += 1;
  if (share((part) => /(^|[^A-Z])(G|GS|GR|GROSS)[^A-Za-z0-9]*$/.test(before(part))) > 0.8)
    score += 1.5;
  if (share((part) => /[-+] *$/.test(before(part))) > 0.8) score += 1;
  if (share((part) => / {2}$/.test(before(part))) > 0.5) score += 1;
  if (share(({ token }) => token.text.length >= 4) > 0.8) score += 1;
  if (share(({ token }) => token.text.length === 1) > 0.9) score -= 1;
  return counts(values) ? score - 10 : score;
}

/** How many values it takes; one that came once may be damage. */
function lively(values: readonly number[]): number {
  const counted = new Map<number, number>();
  for (const value of values) counted.set(value, (counted.get(value) ?? 0) + 1);
  const most = Math.max(0, ...counted.values());
  const others = values.length - most;
  if (others <= Math.max(1, values.length * 0.08)) return others > 0 && usual(counted) > 1 ? 2 : 1;
  return counted.size;
}

function usual(counted: ReadonlyMap<number, number>): number {
  return [...counted.values()].filter((count) => count > 1).length;
}

/** It goes up by one from frame to frame. */
export function counts(values: readonly number[]): boolean {
  const steps = values.slice(1).map((value, i) => value - (values[i] ?? 0));
  return steps.length >= 2 && steps.filter((step) => step === 1).length > steps.length * 0.5;
}

export function digitsOf(text: string): number {
  return Number(text.replace(/[.,]/, ''));
}
