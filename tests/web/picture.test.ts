import { describe, expect, test } from 'vitest';
import { drawLeaves, fences, tipNow, wayTo, WIDE } from '../../src/web/picture.ts';
import type { Layout } from '../../src/adapters/page/messages.ts';
import { layout } from '../adapters/page/sample.ts';

const [leafA, leafB] = drawLeaves(layout);
if (leafA === undefined || leafB === undefined) throw new Error('two leaves are drawn');

describe('the picture of the gate', () => {
  test('hinges each leaf on the post between the exits that it parts', () => {
    expect(leafA.hinge.x).toBe(WIDE / 3);
    expect(leafB.hinge.x).toBe((2 * WIDE) / 3);
  });

  test('a leaf that opens the left rests on the right wall, and shuts it from the left wall', () => {
    expect(leafA.tip.extended.x).toBeGreaterThan(WIDE / 2);
    expect(leafA.tip.retracted.x).toBeLessThan(WIDE / 2);
    expect(leafB.tip.extended.x).toBeLessThan(WIDE / 2);
    expect(leafB.tip.retracted.x).toBeGreaterThan(WIDE / 2);
  });

  test('straight on leaves the middle free: both tips at their own walls', () => {
    const a = tipNow(leafA, { at: 'retracted', moving: null, assumed: false });
    const b = tipNow(leafB, { at: 'retracted', moving: null, assumed: false });
    expect(a.x).toBeLessThan(b.x);
  });

  test('a moving leaf is drawn on its way, one of unknown place at neither end', () => {
    const moving = tipNow(leafA, { at: 'retracted', moving: 'extend', assumed: false });
    expect(moving).toEqual(leafA.tip.extended);
    for (const now of [undefined, { at: 'unknown', moving: null, assumed: true } as const]) {
      const tip = tipNow(leafA, now);
      expect(tip.x).toBeGreaterThan(leafA.tip.retracted.x);
      expect(tip.x).toBeLessThan(leafA.tip.extended.x);
    }
  });

  test.each([2, 3, 4, 5])(
    '%i exits: every leaf and lane lies on the drawing, in order',
    (count) => {
      const names = ['left', 'leftOuter', 'ahead', 'rightInner', 'right'].slice(0, count);
      const many: Layout = {
        ...layout,
        leaves: names.slice(1).map((_, at) => ({ name: `leaf${at}`, travelMs: 900 })),
        exits: names.map((exit, at) => ({
          exit,
          flashes: at + 1,
          ends: Object.fromEntries(
            names.slice(1).map((_, leaf) => [`leaf${leaf}`, at <= leaf ? 'extended' : 'retracted']),
          ),
        })),
      };
      const hinges = drawLeaves(many).map(({ hinge }) => hinge.x);
      expect(hinges).toEqual([...hinges].sort((one, other) => one - other));
      expect(new Set(hinges).size).toBe(count - 1);
      expect(fences(many)).toHaveLength(2 + count - 1);
      for (const exit of names) expect(wayTo(many, exit)).toMatch(/^M150 /);
      expect(wayTo(many, null)).toBeNull();
      expect(wayTo(many, 'nowhere')).toBeNull();
    },
  );
});
