import { describe, expect, it } from 'vitest';
import {
  initialFlock,
  learnAnimal,
  secondAnimalOdds,
  toCome,
} from '../../../src/core/weighing/flock.ts';
import type { Flock, Seen } from '../../../src/core/weighing/flock.ts';
import { Scale } from './scale.ts';

/** A scale that has weighed animals of about 40 kg that move by this share of their weight. */
function weighed(share: number, count = 24): Scale {
  const scale = new Scale();
  scale.stand(0, 2);
  for (let i = 0; i < count; i += 1) {
    const kg = 36 + ((i * 5) % 9);
    scale.read(0.3 * kg, 0.57 * kg, 0.9 * kg);
    scale.live(kg, 3, share);
    scale.read(0.5 * kg, 0);
    scale.stand(0, 1);
  }
  return scale;
}

function learnt(weights: readonly number[], seen: Partial<Seen> = {}): Flock {
  const usual = { earlyKg: 1, lateKg: 0.3, paused: false, weights: [] };
  return weights.reduce(
    (flock, kg) => learnAnimal(flock, kg, { ...usual, ...seen }),
    initialFlock(),
  );
}

const FORTY = [38, 42, 40, 36, 44, 41, 39, 43, 37, 40];

describe('what earlier animals taught', () => {
  it('makes a quiet flock sure sooner than a lively one on the same few readings', () => {
    const first = (scale: Scale): number => {
      scale.read(12, 23, 36);
      return scale.read(40.1, 39.9, 40.2, 39.8).estimate?.uKg ?? NaN;
    };
    const quiet = first(weighed(0.004));
    const lively = first(weighed(0.05));
    expect(quiet).toBeLessThan(0.6 * lively);
  });

  it('yields to what the animal itself shows', () => {
    const scale = weighed(0.004);
    scale.read(12, 23, 36);
    const wild = scale.live(40, 4, 0.08).estimate;
    const calm = weighed(0.004);
    calm.read(12, 23, 36);
    expect(wild?.uKg).toBeGreaterThan(3 * (calm.live(40, 4, 0.004).estimate?.uKg ?? NaN));
    expect(Math.abs((wild?.kg ?? 0) - 40)).toBeLessThan(0.6);
  });

  it('tells half a heavy animal from a light one by what this flock weighs', () => {
    expect(toCome(learnt(FORTY), 23, 1, 0).half).toBeGreaterThan(0.2);
    expect(toCome(learnt(FORTY.map((kg) => 0.58 * kg)), 23, 1, 0).half).toBeLessThan(0.04);
    expect(toCome(learnt(FORTY), 40, 1, 0).half).toBeLessThan(0.04);
  });

  it('expects a pause with the front feet on to last where many have paused', () => {
    const pausing = learnt(FORTY, { paused: true });
    expect(toCome(pausing, 23, 3, 0).half).toBeGreaterThan(toCome(learnt(FORTY), 23, 3, 0).half);
  });

  it('takes a second step for a second animal only where two would make it up', () => {
    expect(secondAnimalOdds(learnt(FORTY), 41, 2, 80)).toBeGreaterThan(1);
    expect(secondAnimalOdds(learnt(FORTY), 23, 2, 40)).toBeLessThan(1);
  });

  it('is not drawn from an animal that looked wrong', () => {
    const scale = weighed(0.01);
    const before = scale.state.flock;
    scale.read(20, 35);
    scale.live(41, 2);
    scale.live(80, 2);
    scale.read(0);
    scale.stand(0, 1);
    expect(scale.state.flock).toEqual(before);
  });

  it('follows a mob that is another: the mean moves on with each animal', () => {
    const later = [...FORTY, ...FORTY, ...Array.from({ length: 60 }, () => 30)];
    expect(learnt(later).meanKg).toBeLessThan(34);
    expect(learnt(later).animals).toBe(50);
  });
});
