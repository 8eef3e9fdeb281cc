import { describe, expect, it } from 'vitest';
import { Scale } from './scale.ts';

/** A scale that has weighed a flock of about 40 kg. */
function flock(config: ConstructorParameters<typeof Scale>[0] = {}): Scale {
  const scale = new Scale(config);
  scale.stand(0, 2);
  for (const kg of [38, 42, 40, 36, 44, 41, 39, 43, 37, 40]) scale.animal(kg, 3);
  return scale;
}

describe('front feet only', () => {
  it('is named while half an animal stands there, and goes when the rest comes', () => {
    const scale = flock();
    scale.read(10, 20);
    expect(scale.live(23, 2).oddities).toEqual(['front-feet-only']);
    scale.read(33);
    const whole = scale.live(40, 1);
    expect(whole.oddities).toEqual([]);
    expect(Math.abs((whole.estimate?.kg ?? 0) - 40)).toBeLessThan(0.5);
  });

  it('lets a light animal pass after a while', () => {
    const scale = flock();
    scale.read(10, 18);
    expect(scale.live(27, 5).oddities).toEqual([]);
  });

  it('never makes half an animal settled at first', () => {
    const scale = flock();
    scale.read(10, 20);
    expect(scale.stand(23, 1.5).estimate?.settled).toBe(false);
  });
});

describe('two animals', () => {
  it('is named at a second step on a weight that stood alone', () => {
    const scale = flock();
    scale.read(20, 35);
    scale.live(41, 2);
    scale.read(50, 65);
    expect(scale.live(80, 1).oddities).toContain('two-animals');
  });

  it('goes when one of them has gone', () => {
    const scale = flock();
    scale.read(20, 35);
    scale.live(41, 2);
    scale.live(80, 2);
    scale.read(60);
    expect(scale.live(41, 4).oddities).toEqual([]);
  });
});

describe('leaning', () => {
  it('is named while it lasts and leaves the weight alone', () => {
    const scale = flock();
    scale.read(20, 35);
    scale.live(41, 2);
    const leant = scale.live(48, 2);
    expect(leant.oddities).toContain('leaning');
    expect(Math.abs((leant.estimate?.kg ?? 0) - 41)).toBeLessThan(0.5);
    expect(scale.live(41, 1).oddities).toEqual([]);
  });

  it('is named when somebody lifts', () => {
    const scale = flock();
    scale.read(20, 35);
    scale.live(41, 2);
    expect(scale.live(34, 3).oddities).toContain('leaning');
  });

  it('is not what a clamp does when it closes', () => {
    const scale = flock({ clamp: true });
    scale.read(20, 35);
    scale.live(41, 2);
    const clamped = scale.live(45, 3);
    expect(clamped.oddities).toEqual([]);
    expect(Math.abs((clamped.estimate?.kg ?? 0) - 45)).toBeLessThan(0.5);
  });
});

describe('the weigh head', () => {
  it('names overload, negative and error while they last', () => {
    const scale = flock();
    const at = (kg: number | null, status?: 'over' | 'under' | 'error'): string[] => {
      scale.t += 100;
      return scale.give({ t: scale.t, kg, ...(status === undefined ? {} : { status }) }).oddities;
    };
    scale.read(20, 35, 40);
    expect(at(null, 'over')).toContain('overload');
    expect(at(null, 'error')).toContain('weigh-head-error');
    expect(at(null)).toContain('weigh-head-error');
    expect(at(250)).toContain('overload');
    expect(at(40)).toEqual([]);
    scale.stand(0, 1);
    expect(at(null, 'under')).toContain('negative');
    expect(at(-3)).toContain('negative');
    expect(at(0)).toEqual([]);
  });

  it('is stuck when a live animal does not move the reading for seconds', () => {
    const scale = flock();
    scale.read(20, 35);
    expect(scale.stand(41, 4).oddities).toEqual([]);
    expect(scale.stand(41, 2).oddities).toEqual(['stuck']);
  });

  it('is not stuck where the division is coarser than the movement', () => {
    const scale = flock({ divisionKg: 1 });
    scale.read(20, 35);
    expect(scale.stand(41, 8).oddities).toEqual([]);
  });

  it('is late when an animal is on and readings stay away', () => {
    const scale = flock();
    scale.read(20, 35);
    scale.live(41, 1);
    expect(scale.wait(1600).oddities).toEqual(['readings-late']);
    expect(scale.read(41).oddities).toEqual([]);
  });

  it('is late when readings come out of order', () => {
    const scale = flock();
    scale.read(20, 35);
    scale.live(41, 1);
    expect(scale.give({ t: scale.t - 300, kg: 41 }).oddities).toEqual(['readings-late']);
    expect(scale.read(41).oddities).toEqual([]);
  });

  it('has changed its unit when the reading jumps by 2.2046', () => {
    const scale = flock();
    scale.read(20, 35);
    scale.stand(40, 1);
    expect(scale.stand(88.2, 1).oddities).toContain('unit-changed');
  });
});
