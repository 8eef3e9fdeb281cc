/** How a head writes the number. */
export interface NumberShape {
  /** `given`: the point is written where there is one; `implied`: `decimals` digits follow it. */
  point: 'given' | 'implied';
  /** Digits after the point: exactly so many; null with a given point: any. */
  decimals: number | null;
  /** The character that is the point. */
  pointSign: '.' | ',';
}

/** A number as it stood in the frame: `digits` divided by 10^`decimals`. */
export interface Written {
  digits: number;
  decimals: number;
  /** A minus stood in the number itself. */
  minus: boolean;
  signed: boolean;
}

const MOST_DIGITS = 12;
const POWERS = Array.from({ length: MOST_DIGITS + 1 }, (_, n) => Number(`1e${n}`));

/**
 * Reads `  41.5`, `-  41.5`, `+0041.5`, `41.5  ` or `00415` (implied): spaces or noughts before the
 * digits, spaces after them, a sign before or after the leading spaces. Nothing else may stand in it.
 *
 * @returns null where the text is not wholly such a number; `none` where it is only dashes,
 *   the way of a head to say that it has no weight
 */
export function readNumber(text: string, shape: NumberShape): Written | 'none' | null {
  let at = spaces(text, 0);
  const sign = text[at];
  const signed = sign === '-' || sign === '+';
  if (signed) at = spaces(text, at + 1);
  if (sign === '-' && isDashes(text, at)) return 'none';
  const begin = at;
  const point = shape.point === 'given' ? shape.pointSign.charCodeAt(0) : NaN;
  let digits = 0;
  let pointAt = -1;
  const end = withoutSpaces(text);
  for (; at < end; at++) {
    const code = text.charCodeAt(at);
    if (code >= 48 && code <= 57) digits = digits * 10 + code - 48;
    else if (pointAt < 0 && at > begin && code === point) pointAt = at;
    else return null;
  }
  const count = at - begin - (pointAt < 0 ? 0 : 1);
  const written = pointAt < 0 ? 0 : at - pointAt - 1;
  if (count === 0 || count > MOST_DIGITS || (pointAt >= 0 && written === 0)) return null;
  if (shape.point === 'given' && shape.decimals !== null && written !== shape.decimals) return null;
  const decimals = shape.point === 'implied' ? (shape.decimals ?? 0) : written;
  return { digits, decimals, minus: sign === '-', signed };
}

/** The value in `unit`s of which `perKg` make a kilogram, in kg; pounds to a tenth of a gram. */
export function toKg(written: Written, unit: Unit): number {
  const plain = written.digits / (POWERS[written.decimals] ?? 1);
  if (unit === 'kg') return plain;
  // International avoirdupois pound: exactly 0.45359237 kg.
  const kg = unit === 'lb' ? plain * 0.45359237 : unit === 'g' ? plain / 1000 : plain * 1000;
  return Math.round(kg * 10_000) / 10_000;
}

export type Unit = 'kg' | 'lb' | 'g' | 't';

function spaces(text: string, from: number): number {
  let at = from;
  while (text.charCodeAt(at) === 32) at++;
  return at;
}

function withoutSpaces(text: string): number {
  let end = text.length;
  while (end > 0 && text.charCodeAt(end - 1) === 32) end--;
  return end;
}

function isDashes(text: string, from: number): boolean {
  if (from === text.length) return false;
  for (let at = from; at < text.length; at++) if (text[at] !== '-') return false;
  return true;
}
