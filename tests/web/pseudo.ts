/** The language that nobody speaks: every text half as long again, accented, and from right to left. */
import { words as english } from '../../src/web/words/en.ts';
import type { Words } from '../../src/web/words/words.ts';

const ACCENTS: Record<string, string> = { a: 'á', e: 'ë', i: 'ï', o: 'ø', u: 'ü', n: 'ñ', s: 'š' };

/** Longer by half, with accents, so that a text that was not taken from the words stands out. */
export function stretch(text: string): string {
  const accented = text.replaceAll(/[aeiouns]/g, (letter) => ACCENTS[letter] ?? letter);
  return accented + '·'.repeat(Math.ceil(text.length / 2));
}

export function pseudo(value: unknown): unknown {
  if (typeof value === 'string') return stretch(value);
  if (typeof value === 'function') {
    const say = value as (...given: unknown[]) => string;
    return (...given: unknown[]) => stretch(say(...given));
  }
  if (Array.isArray(value)) return value.map(pseudo);
  if (value === null || typeof value !== 'object') return value;
  return Object.fromEntries(Object.entries(value).map(([key, inner]) => [key, pseudo(inner)]));
}

export const words: Words = { ...(pseudo(english) as Words), lang: 'ar-XB', dir: 'rtl' };
