import { expect, test } from 'vitest';
import { beginPractice, pass, shown, told } from '../../src/web/practice/engine.ts';
import { layout, snapshot } from '../adapters/page/sample.ts';

const REAL = { ...snapshot(), control: null, ageMs: 0, sentMs: 0 };

function run(seconds: number, answer: boolean) {
  let now = told(beginPractice(layout, 7), { do: 'start' });
  const seen: ReturnType<typeof shown>[] = [];
  for (let ms = 0; ms < seconds * 1000; ms += 100) {
    now = pass(layout, now, 100);
    const view = shown(layout, REAL, now);
    seen.push(view);
    const animal = view.animal?.number;
    if (answer && view.asks.includes('unsure') && animal !== undefined) {
      now = told(now, { do: 'exit', exit: 'right', animal });
    }
  }
  return { now, seen };
}

test('goes on by the plan’s cuts, counts every one, and asks for one in four', () => {
  const { now, seen } = run(120, true);
  const head = now.head.reduce((sum, one) => sum + one, 0);
  expect(head).toBeGreaterThan(10);
  expect([now.animal, now.animal - 1]).toContain(head);
  for (const { decision, weight } of seen) {
    if (decision?.rule !== 'sure') continue;
    const kg = weight.kg ?? 0;
    expect(decision.lot).toBe(kg < 40 ? 'Stores' : kg < 45 ? 'Fit' : 'Heavy');
  }
  for (const { letGo, leaves } of seen) {
    if (letGo !== null) expect(leaves.some((leaf) => leaf.moving !== null)).toBe(false);
  }
  expect(seen.filter(({ decision }) => decision?.rule === 'by-hand').length).toBeGreaterThan(0);
});

test('waits for the answer, and stands still while paused or stopped', () => {
  const { now } = run(120, false);
  expect(shown(layout, REAL, now)).toMatchObject({ asks: ['unsure'], animal: { number: 4 } });
  expect(told(now, { do: 'exit', exit: 'left', animal: 3 })).toBe(now);
  const paused = told(now, { do: 'pause' });
  expect(pass(layout, paused, 60_000)).toBe(paused);
  expect(told(paused, { do: 'stop' }).mode).toBe('stopped');
});
