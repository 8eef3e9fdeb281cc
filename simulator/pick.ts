import type { Random } from './random.ts';

/** One of several, each with its weight. */
export function pick<T>(random: Random, choices: readonly (readonly [number, T])[]): T {
  let left = random.even() * choices.reduce((sum, [weight]) => sum + weight, 0);
  for (const [weight, choice] of choices) {
    left -= weight;
    if (left <= 0) return choice;
  }
  const last = choices.at(-1);
  if (!last) throw new Error('nothing to choose from');
  return last[1];
}

/** One of several that are equally likely. */
export function oneOf<T>(random: Random, choices: readonly T[]): T {
  return pick(
    random,
    choices.map((choice) => [1, choice] as const),
  );
}

/** So many characters of an alphabet. */
export function someOf(random: Random, alphabet: string, length: number): string {
  let out = '';
  for (let i = 0; i < length; i++) out += oneOf(random, alphabet.split(''));
  return out;
}
