import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { readPattern } from '../../../src/config/frames/pattern.ts';
import type { Pattern } from '../../../src/config/frames/pattern.ts';

function taken(text: string): Pattern {
  const pattern = readPattern(text);
  if ('message' in pattern) throw new Error(`${text}: ${pattern.message}`);
  return pattern;
}

function refused(text: string): { at: number; message: string } {
  const pattern = readPattern(text);
  if (!('message' in pattern)) throw new Error(`${text} was taken`);
  return pattern;
}

describe('patterns that are taken', () => {
  test.each([
    ['(?<state>ST|US|OL|UL),(?<weight>[ 0-9.]{5,9})kg', 'US,  41.5kg'],
    ['(?<a>[-+]?) *(?<w>[0-9]+(?:\\.[0-9]+)?) *(?<u>kg|lb|lbs)?', '-  41.25 lbs'],
    ['\\x02(?<w>\\d{3,})', '\x020415'],
    ['(?:ab?c)*d', 'abcacd'],
    ['(?:a[bc]+)+', 'abcbab'],
    ['[^,]*,.', 'x y,z'],
  ])('%s', (text, line) => {
    expect(taken(text).regex.test(line)).toBe(true);
    expect(taken(text).regex.test(`${line}\n`)).toBe(false);
  });

  test('named groups stand where exec puts them', () => {
    const { regex, groups } = taken('(x)(?:y)(?<one>[0-9]{2})(?<two>a|b)');
    const found = regex.exec('xy41b');
    expect(groups).toEqual({ one: 2, two: 3 });
    expect([found?.[2], found?.[3]]).toEqual(['41', 'b']);
  });
});

describe('patterns that could be matched in two ways are refused', () => {
  test.each([
    '(?:a+)+b',
    '(?:a*)*b',
    '(?:a|a)*b',
    '(?:a|[ab])*c',
    '(?:a|ab)(?:c|bcd)',
    '[0-9]+[0-9.]*',
    ' * +x',
    '.*,.*',
    '(?:a?){3}b',
    '(?:a{1,3}){2}b',
    '(?:x|)+y',
    '(?:a?|b?)c',
    '(?:a?b?)*c',
    'kg|kg',
  ])('%s', (text) => {
    expect(refused(text).message).toMatch(/two ways|may be empty|twice/);
  });

  test('the place and the character are named', () => {
    expect(refused('ab[0-9]+[0-9.]')).toMatchObject({
      at: 8,
      message: expect.stringMatching(
        /"0": by "\[0-9\]" \(character 3\) and by "\[0-9\.\]" \(character 9\)/,
      ) as string,
    });
  });
});

test.each([
  ['(a', 'not closed', 0],
  ['a)', 'not opened', 1],
  ['a{3,2}', 'impossible', 1],
  ['a{0}', 'impossible', 1],
  ['a*?', 'repeated or made lazy', 2],
  ['a**', 'repeated or made lazy', 2],
  ['(?=a)', 'looking ahead', 0],
  ['(?<!a)', 'looking ahead', 0],
  ['^a$', 'not read here', 0],
  ['\\bx', 'not read here', 0],
  ['(?<a>x)\\k<a>', 'not read here', 7],
  ['(?<a>x)(?<a>y)', 'stands twice', 7],
  ['[z-a]', 'no class', 0],
  ['[a', 'not read here', 0],
  ['a{999}', 'more than 512', 0],
  ['(?:(?:a{100}){100}){100}', 'more than 512', 6],
])('%s is refused: %s', (text, words, at) => {
  const fault = refused(text);
  expect(fault.message).toContain(words);
  expect(fault.at).toBe(at);
});

/** Random patterns over two letters, with all the ways to go wrong. */
const pattern = fc.letrec<{ node: string }>((tie) => ({
  node: fc.oneof(
    { maxDepth: 4 },
    fc.constantFrom('a', 'b', '[ab]', 'c'),
    fc.array(tie('node'), { minLength: 1, maxLength: 3 }).map((parts) => parts.join('')),
    fc
      .tuple(tie('node'), fc.constantFrom('?', '*', '+', '{2}', '{1,3}', '{2,}'))
      .map(([inside, count]) => `(?:${inside})${count}`),
    fc
      .array(tie('node'), { minLength: 2, maxLength: 3 })
      .map((branches) => `(?:${branches.join('|')})`),
  ),
})).node;

/** The longest match in ms: a pattern that backtracks badly takes minutes, any other microseconds. */
function worstMs(text: string, lines: string[]): number {
  const { regex } = taken(text);
  const once = (line: string): number => {
    const begin = performance.now();
    regex.test(line);
    return performance.now() - begin;
  };
  // The best of three: the machine may be busy with something else.
  return Math.max(...lines.map((line) => Math.min(once(line), once(line), once(line))));
}

test('whatever is taken matches long lines at once', () => {
  let tried = 0;
  const lines = ['a', 'b', 'ab', 'aab', 'ba', 'c', 'abc'].flatMap((unit) =>
    ['', 'c', 'd'].map((tail) => unit.repeat(256 / unit.length) + tail),
  );
  fc.assert(
    fc.property(pattern, (text) => {
      if ('message' in readPattern(text)) return;
      tried += 1;
      expect(worstMs(text, lines)).toBeLessThan(20);
    }),
    { numRuns: 2000, seed: 1 },
  );
  expect(tried).toBeGreaterThan(200);
});
