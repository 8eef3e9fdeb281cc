import { describe, expect, test } from 'vitest';
import { ago, decimals, exitName, kgText, lotRange, tagCode } from '../../src/web/say.ts';
import { words } from '../../src/web/words/en.ts';
import { layout } from '../adapters/page/sample.ts';
import { stretch, words as pseudo } from './pseudo.ts';

describe('figures', () => {
  test.each([
    [41.34, 0.1, '41.3'],
    [41.36, 0.1, '41.4'],
    [41.34, 0.05, '41.35'],
    [41.34, 0.2, '41.4'],
    [41.34, 0.5, '41.5'],
    [41.34, 1, '41'],
    [-0.04, 0.1, '0.0'],
    [104.96, 0.1, '105.0'],
  ])('%f kg on a weigh head of %f kg reads %s', (kg, division, text) => {
    expect(kgText(kg, division)).toBe(text);
  });

  test('as many decimals as the division has', () => {
    expect([0.05, 0.1, 0.2, 0.5, 1].map(decimals)).toEqual([2, 1, 1, 1, 0]);
  });
});

test('what a lot takes, in words; one aside of the weights takes none', () => {
  const said = layout.lots.map((_, at) => lotRange(layout, at));
  expect(said).toEqual(['under 40.0', '40.0–45.0', 'from 45.0']);
  const [first, ...others] = layout.lots;
  if (first === undefined) throw new Error('no lot');
  const withAside = { ...layout, lots: [first, { ...first, aside: true }, ...others] };
  expect(withAside.lots.map((_, at) => lotRange(withAside, at))).toEqual([
    'under 40.0',
    '',
    '40.0–45.0',
    'from 45.0',
  ]);
});

test('exits of a gate with more than three keep their own names', () => {
  expect(['left', 'ahead', 'right', 'outer'].map(exitName)).toEqual([
    'Left',
    'Straight on',
    'Right',
    'outer',
  ]);
});

test('the pseudo-language says every text longer, from right to left', () => {
  expect(stretch('Stop')).toBe('Støp··');
  expect(Object.keys(pseudo).sort()).toEqual(Object.keys(words).sort());
  expect(pseudo.mode.running.length).toBeGreaterThan(words.mode.running.length * 1.4);
  expect(pseudo.animal(7)).toContain('7');
  expect(pseudo.dir).toBe('rtl');
});

test.each([
  [0, '0.0 s ago'],
  [9940, '9.9 s ago'],
  [9960, '10 s ago'],
  [119_000, '119 s ago'],
  [125_000, '2 min ago'],
  [7_300_000, '2 h ago'],
])('%i ms is %s', (ms, said) => {
  expect(ago(ms)).toBe(said);
});

// ISO 11784: codes to 899 are countries', 900 to 998 makers', 999 is for tests.
test.each([
  ['826000000001337', 'country 826'],
  ['899000000001337', 'country 899'],
  ['900000000001337', 'maker 900'],
  ['998000000001337', 'maker 998'],
  ['999000000001337', 'test tag'],
])('a tag %s is said to be of %s', (tag, said) => {
  expect(tagCode(tag)).toBe(said);
});
