/** What the text round the weight says: words that never change, a motion mark, a zero mark. */
import { movingBy } from './labels.ts';
import type { Row } from './number.ts';
import { counts } from './tokens.ts';
import { judge, type Readings, type Verdict } from './verdict.ts';

/** A stretch of columns on one side of the weight. */
export interface Mark {
  side: 'left' | 'right';
  from: number;
  to: number;
  /** Texts seen, the usual ones only. */
  texts: string[];
  kind: 'literal' | 'any' | 'motion' | 'zero' | 'bits';
  /** What each text means (`motion`, `zero`), or which bit (`bits`). */
  words: Record<string, string>;
  bits: Record<string, number>;
}

export interface Marks {
  marks: Mark[];
  motion: boolean;
  /** A mark that may be the motion mark or may not. */
  doubt: string | null;
  evidence: string[];
}

/** The state words of plain continuous lines (common practice, from memory). */
const STATE_WORDS: Record<string, string> = { ST: 'steady', US: 'motion', OL: 'over', UL: 'under' };

/** A cause that is not cheaper by so many bits (64 to 1) than the next is a doubt. */
const CLEAR = 6;
/** More texts than a mark has: a number or a check sum. */
const MANY = 8;

/** @param step smallest step of the digits */
export function findMarks(rows: readonly Row[], skipRight: number, step: number): Marks {
  const readings: Readings = {
    moving: movingBy(rows, step),
    zero: rows.map(({ digits }): boolean => Math.abs(digits) < step),
  };
  const marks = [
    ...stretches(rows.map((row) => row.left)).map((one) => ({ ...one, side: 'left' as const })),
    ...stretches(rows.map((row) => row.right.slice(skipRight))).map((one) => ({
      from: one.from + skipRight,
      to: one.to + skipRight,
      side: 'right' as const,
    })),
  ].map((one): Mark => ({ ...one, texts: [], kind: 'literal', words: {}, bits: {} }));
  const judged = marks.map((mark) => judgeMark(mark, rows, readings));
  const moving = judged.filter((one) => one.motion > 0).sort((a, b) => b.motion - a.motion)[0];
  const evidence: string[] = [];
  for (const one of judged) settle(one, one === moving, evidence);
  const doubtful = judged.find((one) => one !== moving && one.doubt);
  return {
    marks,
    motion: moving !== undefined,
    doubt:
      moving === undefined && doubtful
        ? `the mark ${JSON.stringify(doubtful.mark.texts)} may tell motion or zero: let the load change and come to rest while something is on`
        : null,
    evidence:
      moving === undefined ? [...evidence, 'motion: no mark was seen to change with it'] : evidence,
  };
}

/** Columns that change, each with the word or number round it, and those that do not. */
function stretches(texts: readonly string[]): { from: number; to: number }[] {
  const length = texts[0]?.length ?? 0;
  const columns = Array.from({ length }, (_, at) => {
    const chars = usualFirst(texts.map((text) => text[at] ?? ''));
    const kind = chars.every((char) => /[A-Za-z]/.test(char))
      ? 'letter'
      : chars.every((char) => /[0-9]/.test(char))
        ? 'digit'
        : chars.length > 1
          ? 'changing'
          : 'other';
    return kind;
  });
  const found: { from: number; to: number }[] = [];
  for (let at = 0; at < length;) {
    const from = at;
    while (at < length && columns[at] === columns[from]) at += 1;
    found.push({ from, to: at });
  }
  return found;
}

/** Texts that are no accident, the commonest first: of many rows some are damaged. */
function usualFirst(texts: readonly string[]): string[] {
  const counted = new Map<string, number>();
  for (const text of texts) counted.set(text, (counted.get(text) ?? 0) + 1);
  const least = texts.length < 12 ? 1 : 2;
  const sorted = [...counted].sort((a, b) => b[1] - a[1]);
  const usual = sorted.filter(([, count]) => count >= least);
  const covered = usual.reduce((sum, [, count]) => sum + count, 0);
  return (covered < texts.length * 0.7 ? sorted : usual).map(([text]) => text);
}

interface Judged {
  mark: Mark;
  /** Bits by which it tells motion rather than anything else; 0 where it does not. */
  motion: number;
  /** Share of the frames that it tells rightly. */
  right: number;
  isZero: boolean;
  doubt: boolean;
  words: Record<string, string>;
  bits: Record<string, number>;
}

function judgeMark(mark: Mark, rows: readonly Row[], readings: Readings): Judged {
  const texts = rows.map((row) => row[mark.side].slice(mark.from, mark.to));
  const usual = usualFirst(texts);
  const judged = { mark, motion: 0, right: 1, isZero: false, doubt: false, words: {}, bits: {} };
  mark.texts = usual;
  // Words that stay as they are give way to a mark that was seen to follow the load.
  if (usual.length > 0 && usual.every((text) => text in STATE_WORDS))
    return { ...judged, motion: usual.length > 1 ? 1000 : 1, words: STATE_WORDS };
  const all = [...new Set(texts)];
  // A text that came once may be a mark and no damage, where nothing else would make it.
  if (usual.length < 2 && (usual.length === 0 || all.length < 2 || all.length > MANY))
    return judged;
  const number = usual.every((text) => /^[0-9]+$/.test(text)) && mark.to - mark.from > 1;
  if (number && counts(texts.map(Number))) return judged;
  // Something else that is measured or counted has many texts; a lone character hardly.
  if (usual.length > MANY) return { ...judged, doubt: !number };
  if (mark.to - mark.from === 1 && usual.every((text) => /[0-?]/.test(text)))
    return judgeBits(judged, texts, readings);
  const verdict = judge(texts, readings);
  mark.texts = verdict.texts;
  return { ...judged, ...ruling(verdict), words: verdict.words };
}

function ruling({
  cause,
  lead,
  right,
}: Verdict): Pick<Judged, 'motion' | 'isZero' | 'doubt' | 'right'> {
  const clear = lead >= CLEAR;
  return {
    motion: cause === 'motion' && clear ? lead : 0,
    isZero: cause === 'zero' && clear,
    doubt: cause === 'other' || !clear,
    right,
  };
}

/** One character from 0x30 on, of which each of the low bits may say something. */
function judgeBits(judged: Judged, texts: readonly string[], readings: Readings): Judged {
  const sound = texts.map((text) => /[0-?]/.test(text));
  const only = <T>(list: readonly T[]): T[] => list.filter((_, i) => sound[i]);
  const here: Readings = { moving: readings.moving.map(only), zero: only(readings.zero) };
  const found: Judged = { ...judged, bits: {} };
  for (let bit = 0; bit < 4; bit++) {
    const set = only(texts).map((text) => String((text.charCodeAt(0) >> bit) & 1));
    if (new Set(set).size < 2) continue;
    const verdict = judge(set, here, true);
    const { motion, isZero, doubt, right } = ruling(verdict);
    if (motion > found.motion) {
      [found.motion, found.right, found.bits.motion] = [motion, right, bit];
    } else if (isZero) found.bits.zero = bit;
    else found.doubt ||= doubt;
  }
  return found;
}

function settle(one: Judged, isMotion: boolean, evidence: string[]): void {
  const { mark } = one;
  const place = `${mark.side === 'left' ? 'before' : 'after'} the weight`;
  const constant = mark.texts.length === 1;
  const shown = (words: object): string => JSON.stringify(words);
  if (Object.keys(one.bits).length > 0) {
    mark.kind = 'bits';
    mark.bits = one.bits;
    evidence.push(`status: bits of the character ${place}: ${shown(one.bits)}`);
  } else if (isMotion) {
    mark.kind = 'motion';
    mark.words = one.words;
    evidence.push(
      `motion: ${shown(one.words)} ${place}, ${one.words === STATE_WORDS ? 'the usual words' : `right for ${Math.round(one.right * 100)} % of the frames, by whether the weight changes`}`,
    );
  } else if (!constant && one.isZero) {
    mark.kind = 'zero';
    mark.words = one.words;
    evidence.push(`zero: ${shown(one.words)} ${place}`);
  } else if (!constant) {
    mark.kind = 'any';
    evidence.push(
      `not explained: ${shown(mark.texts.slice(0, 4))} ${place} changes; it is not looked at`,
    );
  }
}
