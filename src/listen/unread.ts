/** What the frames say that were not read: damage, or something that was not understood. */
import { KG } from './plausible.ts';
import type { Row, Unit, WeightField } from './number.ts';
import type { Frame, Split } from './split.ts';
import type { TimedWeight } from './steady.ts';
import type { FoundSum } from './sums.ts';
import { digitsOf } from './tokens.ts';

/** The frames that gave no row. */
export function unreadOf(frames: readonly Frame[], rows: readonly Row[]): Frame[] {
  const read = new Set(rows.map(({ frame }) => frame));
  return frames.filter((frame) => !read.has(frame));
}

/** Weights that stand whole in damaged frames, kg; any may have lost a figure. */
export function damagedWeights(
  unread: readonly Frame[],
  { point, decimals, unitText }: WeightField,
  { unit, places }: { unit: Unit; places: number },
): TimedWeight[] {
  if (point === null && unitText === '') return [];
  const figures = point === null ? '\\d+' : `\\d+\\${point}\\d{${decimals}}`;
  const number = new RegExp(`([-+]?) *(${figures})(?!\\d)${unitText}`);
  return unread.flatMap(({ t, body }) => {
    const [, sign, text] = number.exec(body) ?? [];
    if (text === undefined) return [];
    const kg = (digitsOf(text) * KG[unit]) / Number(`1e${places}`);
    return [{ t, kg: Math.round((sign === '-' ? -kg : kg) * 10_000) / 10_000 }];
  });
}

/** Frames with a word of their own that came more than once are no damage: a doubt, else null. */
export function strangers(
  unread: readonly Frame[],
  rows: readonly Row[],
  split: Split,
  sum: FoundSum | null,
): string | null {
  // Whoever reads the line ends the frame there, and the rest is lost.
  const cut = sum?.form === 'raw' ? rows.filter(({ frame }) => frame.body.includes(split.end)) : [];
  if (cut.length > Math.max(1, rows.length * 0.05))
    return 'the check sum is at times the byte that ends a frame, so that the frame is lost: set the head to another check sum or to none';
  const inBody = sum?.place === 'last' ? sum.size : 0;
  const form = ({ body }: Frame): string => formOf(body.slice(0, body.length - inBody));
  const known = [...new Set(rows.map(({ frame }) => form(frame)))];
  const counted = new Map<string, number>();
  for (const one of unread.map(form)) counted.set(one, (counted.get(one) ?? 0) + 1);
  const least = rows.length > 60 ? 3 : 2;
  for (const [one, count] of counted)
    if (count >= least && !known.includes(one) && known.some((other) => otherWord(one, other)))
      return `${count} frames like ${JSON.stringify(one)} are not understood: let it run longer`;
  return null;
}

/** All numbers and paddings alike. */
function formOf(body: string): string {
  return body.replace(/[-+ ]*\d+/g, '0').replace(/ +/g, ' ');
}

/** Whether it is the other form with other letters in a few places. */
function otherWord(one: string, other: string): boolean {
  if (one.length !== other.length) return false;
  const places = Array.from(one).flatMap((char, i) => (char === other[i] ? [] : [char]));
  return places.length <= 4 && places.every((char) => /[A-Za-z]/.test(char));
}
