import { describe, expect, it } from 'vitest';
import { defaultConfig } from '../../../src/config/defaults.ts';
import { within } from '../../../src/core/sortplan/bands.ts';
import { markProblem, withMark } from '../../../src/core/sortplan/marks.ts';
import type { Mark } from '../../../src/core/trace.ts';

const LAME: Mark = { name: 'lame', value: true };
const FAT: Mark = { name: 'condition', value: 4 };

describe('a colour', () => {
  it('takes any word, and nothing that is none', () => {
    expect(markProblem({ name: 'colour', value: 'blue' })).toBeNull();
    for (const value of ['', 5, true]) {
      expect(markProblem({ name: 'colour', value })).toBe('colour needs a word');
    }
  });
});

describe('a mark taken away', () => {
  const gone = (name: string): Mark => ({ name, value: false });
  it('goes, whatever kind it is', () => {
    expect(withMark([LAME, FAT], gone('condition'))).toEqual([LAME]);
    expect(withMark([LAME, FAT], gone('lame'))).toEqual([FAT]);
  });
  it('that was not given leaves the others', () => {
    expect(withMark([LAME], gone('keep'))).toEqual([LAME]);
    expect(withMark([LAME], gone('condition'))).toMatch(/^condition is one of 1, 1.5, 2/);
  });
  it('makes no room of itself: one given again replaces', () => {
    expect(withMark([FAT, LAME], { name: 'condition', value: 2 })).toEqual([
      LAME,
      { name: 'condition', value: 2 },
    ]);
    expect(withMark([FAT], { name: 'condition', value: 6 })).toMatch(/^condition is one of/);
  });
});

describe('a weight that a mark rule names, open at one end', () => {
  const { plan } = defaultConfig();
  it.each([null, 'Fit', 'Heavy'])('lot before: %s', (before) => {
    const up = (kg: number) => within(plan, kg * 100, { from: 40, below: null }, 'Fit', before);
    const down = (kg: number) => within(plan, kg * 100, { from: null, below: 40 }, 'Fit', before);
    expect([up(41), up(39), down(39), down(41)]).toEqual([true, false, true, false]);
  });
});
