import { describe, expect, it } from 'vitest';
import { createAnimal } from '../../simulator/animal.ts';
import type { Scenario } from '../../simulator/animal.ts';
import { createRandom } from '../../simulator/random.ts';
import { createWeighHead } from '../../simulator/weigh-head.ts';
import { deviation, lagOne, mean } from '../bench/statistics.ts';

const animal = (scenario: Scenario, temperament = 0.5, seed = 1) =>
  createAnimal(createRandom(seed), { trueKg: 40, temperament, scenario });

function loads(scenario: Scenario, temperament: number, seed: number, seconds: number): number[] {
  const one = animal(scenario, temperament, seed);
  return Array.from({ length: seconds * 200 }, (_, i) => one.loadKg(one.fullyOnMs + i * 5));
}

describe('the source of chance', () => {
  it('repeats itself by its seed, and differs by it', () => {
    const draw = (seed: number): number[] => Array.from({ length: 5 }, createRandom(seed).bits);
    expect(draw(7)).toEqual(draw(7));
    expect(draw(7)).not.toEqual(draw(8));
    expect(createRandom(7).branch(1).bits()).not.toBe(createRandom(7).branch(2).bits());
  });

  it('is even, normal and without memory', () => {
    const random = createRandom(3);
    const even = Array.from({ length: 20_000 }, random.even);
    expect(mean(even)).toBeCloseTo(0.5, 1.8);
    expect(deviation(even)).toBeCloseTo(Math.sqrt(1 / 12), 2);
    expect(Math.abs(lagOne(even))).toBeLessThan(0.03);
    const normal = Array.from({ length: 20_000 }, random.normal);
    expect(Math.abs(mean(normal))).toBeLessThan(0.03);
    expect(Math.abs(deviation(normal) - 1)).toBeLessThan(0.03);
    const waits = Array.from({ length: 20_000 }, () => random.wait(2));
    expect(Math.abs(mean(waits) - 0.5)).toBeLessThan(0.02);
  });
});

describe('the animal', () => {
  it('comes on in two steps and is whole from the time it says', () => {
    const one = animal('usual', 0);
    expect(one.loadKg(0)).toBe(0);
    expect(Math.abs(one.loadKg(one.fullyOnMs) - 40)).toBeLessThan(4);
  });

  it('has its weight as the mean of its load, because its body stays where it is', () => {
    for (const seed of [1, 2, 3, 4]) {
      expect(Math.abs(mean(loads('usual', 0.8, seed, 60)) - 40)).toBeLessThan(0.05);
    }
  });

  it('moves more the livelier it is, and calms', () => {
    const wild = loads('usual', 1, 5, 20);
    expect(deviation(wild)).toBeGreaterThan(2 * deviation(loads('usual', 0, 5, 20)));
  });

  it('repeats itself by its seed', () => {
    expect(loads('jump', 0.5, 9, 3)).toEqual(loads('jump', 0.5, 9, 3));
  });

  it('pauses with the front feet on', () => {
    const one = animal('front-feet', 0);
    const middle = one.loadKg(one.fullyOnMs / 2) / 40;
    expect(middle).toBeGreaterThan(0.45);
    expect(middle).toBeLessThan(0.68);
  });

  it('goes until nothing is left', () => {
    const one = animal('usual');
    expect(one.leavingKg(0)).toBeCloseTo(1, 9);
    expect(one.leavingKg(one.goneMs)).toBeCloseTo(0, 9);
  });

  it('is joined by another, leant on, or backs out', () => {
    const late = (scenario: Scenario): number => {
      const one = animal(scenario, 0, 4);
      return mean(Array.from({ length: 200 }, (_, i) => one.loadKg(one.fullyOnMs + 4500 + i * 5)));
    };
    expect(late('double')).toBeGreaterThan(55);
    expect(late('backs-out')).toBeLessThan(1);
  });
});

describe('the weigh head', () => {
  const head = (options = {}) =>
    createWeighHead(createRandom(1), { divisionKg: 0.1, rateHz: 10, resonanceHz: 0, ...options });

  it('gives whole divisions at its rate', () => {
    const one = head();
    const seen: (number | null)[] = [];
    for (let t = 0; t < 2000; t += 1) {
      const reading = one.sample(t, 41.234);
      if (reading !== null) seen.push(reading.kg);
    }
    expect(seen).toHaveLength(20);
    expect(seen.at(-1)).toBe(41.2);
  });

  it('gives as many readings when it is asked every 20 ms', () => {
    const one = head();
    let count = 0;
    for (let t = 0; t < 2000; t += 20) if (one.sample(t, 41) !== null) count += 1;
    expect(count).toBe(20);
  });

  it('marks motion until a second has stayed within a division', () => {
    const one = head();
    const marks: boolean[] = [];
    for (let t = 0; t < 3000; t += 5) {
      const reading = one.sample(t, t < 1500 ? 0 : 40);
      if (reading !== null) marks.push(reading.motion);
    }
    expect(marks[12]).toBe(false);
    expect(marks[17]).toBe(true);
    expect(marks.at(-1)).toBe(false);
  });

  it('gives no weight past its greatest load', () => {
    const one = head({ maxKg: 50 });
    const statuses = new Set<string | undefined>();
    for (let t = 0; t < 2000; t += 5) {
      const reading = one.sample(t, 60);
      if (reading !== null) statuses.add(reading.status);
    }
    expect(statuses).toContain('over');
  });

  it('fades, drifts and loses readings as told', () => {
    const slow = head({ fadeMs: 500 });
    let first: number | null = null;
    for (let t = 0; t < 700; t += 5) first = slow.sample(t, 40)?.kg ?? first;
    expect(first).toBeGreaterThan(20);
    expect(first).toBeLessThan(38);
    const lossy = head({ lost: 0.5 });
    let count = 0;
    for (let t = 0; t < 20_000; t += 5) if (lossy.sample(t, 40) !== null) count += 1;
    expect(count).toBeGreaterThan(60);
    expect(count).toBeLessThan(140);
  });
});
