import { describe, expect, it } from 'vitest';
import { initialPeriod, takeArrival } from '../../../src/core/weighing/period.ts';
import type { Period } from '../../../src/core/weighing/period.ts';
import {
  addReading,
  emptyWindow,
  readingsPerBlock,
  withinBand,
} from '../../../src/core/weighing/window.ts';

function arrivals(period: Period, times: readonly number[]): { period: Period; steps: number[] } {
  const steps: number[] = [];
  let now = period;
  for (const t of times) {
    const taken = takeArrival(now, t);
    now = taken.period;
    steps.push(taken.steps);
  }
  return { period: now, steps };
}

const every = (ms: number, n: number): number[] => Array.from({ length: n }, (_, i) => i * ms);

describe('the period between readings', () => {
  it('is learnt from the count, whatever the jitter', () => {
    const jittered = every(125, 400).map((t, i) => t + ((i * 7) % 41));
    expect(arrivals(initialPeriod(10), jittered).period.ms).toBeCloseTo(125, 0);
  });

  it('is not misled by readings that come in pairs', () => {
    const pairs = every(100, 400).map((t) => Math.floor(t / 200) * 200);
    expect(arrivals(initialPeriod(10), pairs).period.ms).toBeCloseTo(100, 0);
  });

  it('counts readings that were lost', () => {
    const { steps } = arrivals(initialPeriod(10), [0, 100, 200, 500, 600]);
    expect(steps).toEqual([1, 1, 1, 3, 1]);
  });

  it('takes no reading of a bunch for lost ones', () => {
    const bunches = every(20, 400).map((t) => Math.floor(t / 160) * 160);
    expect(arrivals(initialPeriod(50), bunches).steps.every((steps) => steps === 1)).toBe(true);
    const gap = bunches.map((t, i) => (i < 200 ? t : t + 480));
    const { steps } = arrivals(initialPeriod(50), gap);
    expect(steps.reduce((sum, n) => sum + n, 0)).toBeCloseTo(400 + 24, -1);
  });

  it('does not learn from a long silence', () => {
    const { period } = arrivals(initialPeriod(10), [...every(100, 60), 60_000, 60_100]);
    expect(period.ms).toBeCloseTo(100, 0);
  });
});

describe('the window', () => {
  it('makes blocks of about a tenth of a second', () => {
    expect([1, 5, 10, 12.5, 20, 50].map(readingsPerBlock)).toEqual([1, 1, 1, 1, 2, 5]);
  });

  it('is bounded', () => {
    let window = emptyWindow();
    for (let i = 0; i < 500; i += 1) window = addReading(window, i, 1, 1).window;
    expect(window.mean).toHaveLength(64);
    expect(window.mean.at(-1)).toBe(499);
  });

  it('keeps lost readings as steps', () => {
    let window = emptyWindow();
    for (const steps of [1, 1, 4]) window = addReading(window, 40, steps, 1).window;
    expect(window.step).toEqual([1, 1, 4]);
  });

  it('knows whether all readings of the latest blocks lie within a band', () => {
    let window = emptyWindow();
    for (const kg of [30, 40, 40.3, 40.5]) window = addReading(window, kg, 1, 1).window;
    expect(withinBand(window, 3, 0.5)).toBe(true);
    expect(withinBand(window, 3, 0.4)).toBe(false);
    expect(withinBand(window, 4, 0.5)).toBe(false);
    expect(withinBand(window, 5, 100)).toBe(false);
  });
});
