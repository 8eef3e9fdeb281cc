/**
 * What a text that changes from frame to frame tells: each explanation has a cost in bits, the
 * shortest way to say the texts if it were so, and the cheapest wins by so many bits.
 */
import type { Labels } from './labels.ts';
import { ones } from './speed.ts';

type Cause = 'constant' | 'motion' | 'zero' | 'other';

export interface Verdict {
  cause: Cause;
  /** Bits by which it beats the next cause. */
  lead: number;
  /** The texts that are no damage. */
  texts: string[];
  /** What each text means, where the cause is motion or zero. */
  words: Record<string, string>;
  /** Share of the frames that the words tell rightly, 0 to 1. */
  right: number;
}

/** What the readings say of each row, to compare the texts with. */
export interface Readings {
  /** One for each rule that a head may use, the usual one first. */
  moving: readonly Labels[];
  zero: Labels;
}

interface Explained {
  cause: Cause;
  bits: number;
  words: Record<string, string>;
  right: number;
}

/** A mark differs from what the readings say in about one frame of a hundred. */
const WRONG = -Math.log2(0.01);
const RIGHT = -Math.log2(0.99);
const AGAIN = 6;
/** How often heads use the usual rule for motion (common practice, no source). */
const USUAL_RULE = 0.4;
/** A mark that is no printed character is as good as never made. */
const UNPRINTED = 12;
/** Most texts that a mark has. */
const MOST = 6;
/** Heads tell motion more often than zero, and both more often than something else. */
const PRIOR: Record<Cause, number> = { constant: 0, motion: 1, zero: 3, other: 6 };

/** The likeliest cause. `texts` is one a row, `ordered`: only `1` may mean that it is so. */
export function judge(texts: readonly string[], readings: Readings, ordered = false): Verdict {
  const counts = new Map<string, number>();
  for (const text of texts) counts.set(text, (counts.get(text) ?? 0) + 1);
  const sorted = [...counts].sort((a, b) => b[1] - a[1]);
  const best = new Map<Cause, Explained & { texts: string[] }>();
  for (let k = 1; k <= Math.min(MOST, sorted.length); k++) {
    // Texts that came equally often stand or fall together.
    if (k < sorted.length && k > 1 && sorted[k]?.[1] === sorted[k - 1]?.[1] && k < MOST) continue;
    const real = sorted.slice(0, k).map(([text]) => text);
    // The same damage again is rarer still.
    const damage = sorted
      .slice(k)
      .reduce((sum, [text, n]) => sum + n * damaged(text, real) + (n - 1) * AGAIN, 0);
    const odd = real.length > 1 && real.some((text) => /[^ -~]/.test(text)) ? UNPRINTED : 0;
    for (const one of explain(texts, real, readings, ordered)) {
      const bits = one.bits + damage + PRIOR[one.cause] + odd;
      if (bits < (best.get(one.cause)?.bits ?? Infinity))
        best.set(one.cause, { ...one, bits, texts: real });
    }
  }
  const [first, second] = [...best.values()].sort((a, b) => a.bits - b.bits);
  if (!first) return { cause: 'constant', lead: Infinity, texts: [], words: {}, right: 0 };
  const { cause, words, right } = first;
  const lead = hangsOnOne(texts, words) ? 0 : (second?.bits ?? Infinity) - first.bits;
  return { cause, words, right, texts: first.texts, lead };
}

/** Beside two texts that came more often a lone third one is rather damage than all that a meaning has. */
function hangsOnOne(texts: readonly string[], words: Record<string, string>): boolean {
  if (Object.keys(words).length < 3) return false;
  return Object.values(words).some(
    (meaning) => texts.filter((text) => words[text] === meaning).length === 1,
  );
}

/** Bits for a frame that was damaged just here, so that it shows this text. */
function damaged(text: string, real: readonly string[]): number {
  const differing = real.map((one) => {
    let bits = 9 * Math.abs(one.length - text.length);
    for (let i = 0; i < Math.min(one.length, text.length); i++) bits += flipped(one, text, i);
    return bits;
  });
  return 5 + Math.min(...differing);
}

/** A short pulse turns a single bit more often than several. */
function flipped(one: string, other: string, at: number): number {
  const turned = one.charCodeAt(at) ^ other.charCodeAt(at);
  if (turned === 0) return 0;
  return /[01]/.test(one) || ones(turned) > 1 ? 9 : 7;
}

function explain(
  texts: readonly string[],
  real: readonly string[],
  { moving, zero }: Readings,
  ordered: boolean,
): Explained[] {
  if (real.length === 1) return [{ cause: 'constant', bits: 0, words: {}, right: 1 }];
  const more = (real.length - 2) * 2;
  const rules = moving.map((labels) => told(texts, real, labels, ['motion', 'steady'], ordered));
  const cheapest = rules.reduce((a, b) => (b.bits < a.bits ? b : a), rules[0] ?? NEVER);
  const known = usualWords(cheapest.words) ? -6 : 0;
  const chance = ({ bits }: Told): number => 2 ** -bits;
  const any = rules.reduce((sum, rule) => sum + chance(rule), 0) / Math.max(1, rules.length);
  const mixed = -Math.log2(USUAL_RULE * chance(rules[0] ?? NEVER) + (1 - USUAL_RULE) * any);
  return [
    { ...cheapest, cause: 'motion', bits: Math.min(mixed, cheapest.bits + 6) + more + known },
    { ...told(texts, real, zero, ['zero', 'none'], ordered), cause: 'zero' },
    { cause: 'other', bits: ofItself(texts, real) + more, words: {}, right: 0 },
  ];
}

type Told = Omit<Explained, 'cause'>;

const NEVER: Told = { bits: Infinity, words: {}, right: 0 };

/** The cost if each text tells what the labels say. */
function told(
  texts: readonly string[],
  real: readonly string[],
  labels: Labels,
  [yes, no]: readonly [string, string],
  ordered: boolean,
): Told {
  const seen = new Map(real.map((text) => [text, { yes: 0, no: 0 }]));
  for (const [i, text] of texts.entries()) {
    const pair = seen.get(text);
    const label = labels[i];
    if (pair && typeof label === 'boolean') pair[label ? 'yes' : 'no'] += 1;
  }
  const all = [...seen.values()].reduce((sum, pair) => sum + pair.yes, 0);
  const others = [...seen.values()].reduce((sum, pair) => sum + pair.no, 0);
  const words: Record<string, string> = {};
  // A text that came only where the readings do not tell yet is the other one.
  for (const [text, pair] of seen) {
    const more = pair.yes / Math.max(1, all) > pair.no / Math.max(1, others);
    words[text] = more || (all === 0 && pair.no === 0) ? yes : no;
  }
  if (new Set(Object.values(words)).size < 2) return NEVER;
  if (ordered && words['1'] !== yes) return NEVER;
  let bits = 0;
  let wrong = 0;
  let before = '';
  for (const [i, text] of texts.entries()) {
    if (!seen.has(text)) continue;
    const label = labels[i];
    if (label === null || label === undefined) bits += text === before || before === '' ? 0.2 : 3;
    else if ((words[text] === yes) === label) bits += RIGHT;
    else {
      bits += WRONG;
      wrong += 1;
    }
    before = text;
  }
  return { bits, words, right: 1 - wrong / Math.max(1, all + others) };
}

/** The cost if they change for a reason of their own: when they do, and to which text. */
function ofItself(texts: readonly string[], real: readonly string[]): number {
  const known = texts.filter((text) => real.includes(text));
  const changes = known.filter((text, i) => i > 0 && text !== known[i - 1]).length;
  const which = Math.log2(real.length) + changes * Math.log2(real.length - 1);
  return which + log2Choose(known.length - 1, changes) + Math.log2(Math.max(1, known.length));
}

function log2Choose(n: number, k: number): number {
  let bits = 0;
  for (let i = 1; i <= k; i++) bits += Math.log2((n - k + i) / i);
  return bits;
}

const STEADY = ['ST', 'S', ' '];
const MOVING = ['US', 'M', 'U', 'D'];

/** Whether the words are usual ones for it (common practice, from memory). */
function usualWords(words: Record<string, string>): boolean {
  const texts = Object.keys(words);
  const [one = '', other = ''] = texts;
  if (texts.length !== 2) return false;
  let from = 0;
  while (from < one.length - 1 && one[from] === other[from]) from += 1;
  return texts.every((text) =>
    (words[text] === 'motion' ? MOVING : STEADY).includes(text.slice(from)),
  );
}
