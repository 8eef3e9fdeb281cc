/** What the text round the weight says: words that never change, a motion mark, a zero mark. */
import type { Row } from './number.ts';
import { middle } from './split.ts';

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
const MOTION_TEXTS = /^(US|M|U|D|\*|\?|~)$/;

/** @param step smallest step of the digits */
export function findMarks(rows: readonly Row[], skipRight: number, step: number): Marks {
  const rules = movingBy(rows, step);
  const marks = [
    ...stretches(rows.map((row) => row.left)).map((one) => ({ ...one, side: 'left' as const })),
    ...stretches(rows.map((row) => row.right.slice(skipRight))).map((one) => ({
      ...one,
      from: one.from + skipRight,
      to: one.to + skipRight,
      side: 'right' as const,
    })),
  ].map((one): Mark => ({ ...one, kind: 'literal', words: {}, bits: {} }));
  const judged = marks.map((mark) => judge(mark, rows, rules, step));
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
function stretches(texts: readonly string[]): { from: number; to: number; texts: string[] }[] {
  const length = texts[0]?.length ?? 0;
  const changing = Array.from(
    { length },
    (_, at) => usualTexts(texts.map((text) => text[at] ?? '')).length > 1,
  );
  const kindAt = (at: number): string => {
    const chars = texts.slice(0, 50).map((text) => text[at] ?? '');
    if (chars.every((char) => /[A-Za-z]/.test(char))) return 'letter';
    return chars.every((char) => /[0-9]/.test(char)) ? 'digit' : 'other';
  };
  const found: { from: number; to: number; texts: string[] }[] = [];
  let at = 0;
  while (at < length) {
    const from = at;
    const kind = kindAt(at);
    at += 1;
    while (
      at < length &&
      kindAt(at) === kind &&
      (kind !== 'other' || changing[at] === changing[from])
    )
      at += 1;
    found.push({ from, to: at, texts: usualTexts(texts.map((text) => text.slice(from, at))) });
  }
  return found;
}

function usualTexts(texts: readonly string[]): string[] {
  const counted = new Map<string, number>();
  for (const text of texts) counted.set(text, (counted.get(text) ?? 0) + 1);
  const least = texts.length < 12 ? 1 : 2;
  return [...counted].filter(([, count]) => count >= least).map(([text]) => text);
}

/** The last second within one division is the usual rule; heads differ in both. */
const RULES = [500, 700, 1000, 1500, 2000].flatMap((ms) => [1, 2].map((steps) => ({ ms, steps })));

type Labels = readonly (boolean | null)[];

/** For each rule, which rows move by it; null where that is not known yet. */
function movingBy(rows: readonly Row[], step: number): Labels[] {
  const period = middle(rows.slice(1).map(({ t }, i) => t - (rows[i]?.t ?? 0)));
  const sound = rows.filter((_, i) => !isSpike(rows, i, step));
  const first = rows[0]?.t ?? 0;
  return RULES.map(({ ms, steps }) =>
    rows.map(({ t }) => {
      const near = sound.filter((other) => other.t <= t && other.t > t - ms + period / 2);
      const last = near.length > 1 ? near : sound.filter((other) => other.t <= t).slice(-2);
      if (last.length < 2 || t - first < ms - 1.5 * period) return null;
      const values = last.map(({ digits }) => digits);
      return Math.max(...values) - Math.min(...values) > steps * step;
    }),
  );
}

/** A lone weight far from both neighbours, which agree: a damaged frame. */
function isSpike(rows: readonly Row[], i: number, step: number): boolean {
  const [before, here, after] = [rows[i - 1], rows[i], rows[i + 1]];
  if (!before || !here || !after) return false;
  const agree = Math.abs(before.digits - after.digits) <= 20 * step;
  return agree && Math.abs(here.digits - before.digits) > 60 * step;
}

interface Judged {
  mark: Mark;
  /** How well it tells motion, 0 to 1, and what each text then means. */
  motion: number;
  zero: number;
  doubt: boolean;
  words: Record<string, string>;
  zeroWords: Record<string, string>;
  bits: Record<string, number>;
}

function judge(mark: Mark, rows: readonly Row[], rules: readonly Labels[], step: number): Judged {
  const judged: Judged = {
    mark,
    motion: 0,
    zero: 0,
    doubt: false,
    words: {},
    zeroWords: {},
    bits: {},
  };
  if (mark.texts.length > 0 && mark.texts.every((text) => text in STATE_WORDS))
    return { ...judged, motion: 2, words: STATE_WORDS };
  if (mark.texts.length < 2 || mark.texts.length > 8) return judged;
  const texts = rows.map((row) => row[mark.side].slice(mark.from, mark.to));
  const isZero = rows.map(({ digits }): boolean => Math.abs(digits) < step);
  if (mark.to - mark.from === 1 && mark.texts.every((text) => /[0-?]/.test(text)))
    return judgeBits(judged, texts, rules, isZero);
  const motion = tellsMotion(texts, rules);
  const zero = tells(texts, isZero, 'zero', 'none');
  judged.zero = zero.purity;
  judged.zeroWords = zero.words;
  const known = mark.texts.some((text) => MOTION_TEXTS.test(text));
  const clearly = motion.purity >= 0.9 && (motion.purity > zero.purity + 0.001 || known);
  if (clearly) return { ...judged, motion: motion.purity, words: motion.words };
  // What changes between few texts and is not explained may yet be the motion mark.
  judged.doubt = zero.purity < 0.97;
  return judged;
}

function judgeBits(
  judged: Judged,
  texts: string[],
  rules: readonly Labels[],
  isZero: boolean[],
): Judged {
  for (let bit = 0; bit < 4; bit++) {
    const set = texts.map((text) => String((text.charCodeAt(0) >> bit) & 1));
    if (new Set(set).size < 2) continue;
    const motion = tellsMotion(set, rules);
    const zero = tells(set, isZero, 'zero', 'none');
    if (motion.purity > Math.max(0.9, judged.motion, zero.purity) && motion.words['1'] === 'motion')
      [judged.motion, judged.bits.motion] = [motion.purity, bit];
    else if (zero.purity > 0.97 && zero.words['1'] === 'zero') judged.bits.zero = bit;
    else judged.doubt = true;
  }
  return judged;
}

interface Told {
  /** Mean share of the two sides that the texts tell rightly; 0 where only one side came. */
  purity: number;
  words: Record<string, string>;
}

function tellsMotion(texts: readonly string[], rules: readonly Labels[]): Told {
  const told = rules.map((moving) => tells(texts, moving, 'motion', 'steady'));
  return told.reduce((best, one) => (one.purity > best.purity ? one : best));
}

/** How well the texts tell what is so from what is not. */
function tells(texts: readonly string[], is: Labels, yes: string, no: string): Told {
  const counted = new Map<string, [number, number]>();
  for (const [i, text] of texts.entries()) {
    const pair = counted.get(text) ?? [0, 0];
    const so = is[i];
    if (so !== null) pair[so ? 0 : 1] += 1;
    counted.set(text, pair);
  }
  const all = is.filter(Boolean).length;
  const others = is.filter((one) => one === false).length;
  if (Math.min(all, others) < 2) return { purity: 0, words: {} };
  let so = 0;
  let notSo = 0;
  const words: Record<string, string> = {};
  for (const [text, [a, b]] of counted) {
    const means = a / all > b / others;
    if (a + b > 0) words[text] = means ? yes : no;
    if (means) so += a;
    else notSo += b;
  }
  return { purity: (so / all + notSo / others) / 2, words };
}

function settle(one: Judged, isMotion: boolean, evidence: string[]): void {
  const { mark } = one;
  const place = `${mark.side === 'left' ? 'before' : 'after'} the weight`;
  const constant = mark.texts.length === 1;
  if (Object.keys(one.bits).length > 0) {
    mark.kind = 'bits';
    mark.bits = one.bits;
    evidence.push(`status: bits of the character ${place}: ${JSON.stringify(one.bits)}`);
  } else if (isMotion) {
    mark.kind = 'motion';
    mark.words = one.words;
    evidence.push(
      `motion: ${JSON.stringify(one.words)} ${place}, ${one.motion > 1 ? 'the usual words' : `right for ${Math.round(one.motion * 100)} % of the frames, by whether the weight changes`}`,
    );
  } else if (!constant && one.zero > 0.97) {
    mark.kind = 'zero';
    mark.words = one.zeroWords;
    evidence.push(`zero: ${JSON.stringify(one.zeroWords)} ${place}`);
  } else if (!constant) {
    mark.kind = 'any';
    evidence.push(
      `not explained: ${JSON.stringify(mark.texts.slice(0, 4))} ${place} changes; it is not looked at`,
    );
  }
}
