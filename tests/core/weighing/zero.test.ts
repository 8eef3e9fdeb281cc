import { describe, expect, it } from 'vitest';
import { Scale } from './scale.ts';

describe('zero at power-up', () => {
  it('is none until the crate was seen empty and steady near nothing', () => {
    const scale = new Scale();
    expect(scale.read(0).zeroKnown).toBe(false);
    expect(scale.read(0, 0).zeroKnown).toBe(true);
  });

  it('is none with an animal already on, whose weight then decides nothing', () => {
    const scale = new Scale();
    const result = scale.live(41, 4);
    expect(result.occupancy).toBe('loaded');
    expect(result.zeroKnown).toBe(false);
    expect(result.oddities).toContain('zero-unknown');
  });

  it('comes when that animal has gone', () => {
    const scale = new Scale();
    scale.live(41, 4);
    expect(scale.stand(0.4, 1).zeroKnown).toBe(true);
    expect(scale.result.reading?.kg).toBeCloseTo(0, 2);
  });

  it('is not taken from an empty reading far from nothing, until a person says so', () => {
    const scale = new Scale();
    expect(scale.stand(4, 2).zeroKnown).toBe(false);
    scale.give({ t: scale.t, zero: true });
    expect(scale.stand(4, 0.5).zeroKnown).toBe(true);
    expect(scale.result.reading?.kg).toBeCloseTo(0, 9);
  });

  it('is taken at a word even where the empty crate reads like a load', () => {
    const scale = new Scale();
    scale.stand(12, 1);
    scale.give({ t: scale.t, crateEmpty: true });
    const result = scale.stand(12, 0.5);
    expect(result).toMatchObject({ zeroKnown: true, occupancy: 'empty' });
  });

  it('is not taken while the empty crate swings', () => {
    const scale = new Scale();
    for (let i = 0; i < 10; i += 1) scale.read(0, 0.9, -0.9);
    expect(scale.result.zeroKnown).toBe(false);
  });
});

describe('zero tracking', () => {
  it('follows no faster than half a division a second', () => {
    const scale = new Scale();
    scale.stand(0, 5);
    scale.stand(0.3, 2);
    // 2 s at 0.5 d = 0.05 kg a second: 0.1 of the 0.3 kg is tracked.
    expect(scale.state.zero.kg).toBeGreaterThan(0.05);
    expect(scale.state.zero.kg).toBeLessThanOrEqual(0.1 + 1e-9);
  });

  it('stands still while an animal is on', () => {
    const scale = new Scale();
    scale.stand(0, 2);
    const before = scale.state.zero.kg;
    scale.live(30, 10);
    expect(scale.state.zero.kg).toBe(before);
  });

  it('is limited in all, and past the limit says so instead of keeping quiet', () => {
    const scale = new Scale();
    scale.stand(0, 2);
    for (let kg = 0; kg <= 4.8; kg += 0.05) scale.stand(kg, 1);
    expect(scale.state.zero.kg).toBeLessThanOrEqual(0.02 * 200 + 0.05);
    expect(scale.result.oddities).toContain('empty-drifting');
    scale.give({ t: scale.t, zero: true });
    expect(scale.stand(4.8, 1).oddities).toEqual([]);
  });

  it('names a crate that became heavier at once, and widens the interval by it', () => {
    const scale = new Scale();
    scale.stand(0, 2);
    const clean = scale.animal(40).estimate;
    scale.stand(0.8, 1);
    expect(scale.result.oddities).toContain('empty-drifting');
    scale.read(15, 25);
    const dirty = scale.live(40.8, 2).estimate;
    expect(dirty?.u95Kg).toBeGreaterThan((clean?.u95Kg ?? 0) + 0.5);
  });
});
