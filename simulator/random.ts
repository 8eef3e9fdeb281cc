import { ln, normalInverse } from '../src/core/normal.ts';

/** A seeded source of chance: the same seed gives the same sequence on every machine. */
export interface Random {
  /** A whole number from 0 to 4294967295. */
  bits: () => number;
  /** Evenly between 0 (left out) and 1 (left out). */
  even: () => number;
  /** Evenly between two numbers. */
  between: (low: number, high: number) => number;
  /** Standard normal. */
  normal: () => number;
  /** Time until the next of events that come `perUnit` a unit at random. */
  wait: (perUnit: number) => number;
  /** True with this probability. */
  chance: (probability: number) => boolean;
  /** A source of its own, told apart by a number: drawing from it leaves this one alone. */
  branch: (n: number) => Random;
}

/**
 * Integer generator with 128 bits of state: three words that are shifted, added and rotated, and a
 * counter (the "small fast counting" family, C. Doty-Humphrey, public domain).
 * @param seed any whole number.
 */
export function createRandom(seed: number): Random {
  let a = 0x9e3779b9;
  let b = seed | 0;
  let c = Math.floor(seed / 4294967296) | 0;
  let counter = 1;
  const bits = (): number => {
    const sum = (a + b + counter) | 0;
    counter = (counter + 1) | 0;
    a = b ^ (b >>> 9);
    b = (c + (c << 3)) | 0;
    c = (c << 21) | (c >>> 11);
    c = (c + sum) | 0;
    return sum >>> 0;
  };
  for (let i = 0; i < 16; i += 1) bits();
  const even = (): number => (bits() + 0.5) / 4294967296;
  return {
    bits,
    even,
    between: (low, high) => low + (high - low) * even(),
    normal: () => normalInverse(even()),
    wait: (perUnit) => (perUnit > 0 ? -ln(even()) / perUnit : Number.MAX_VALUE),
    chance: (probability) => even() < probability,
    branch: (n) => createRandom(Math.imul(seed | 0, 0x85ebca6b) ^ Math.imul(n + 1, 0xc2b2ae35)),
  };
}
