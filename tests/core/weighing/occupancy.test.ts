import { describe, expect, it } from 'vitest';
import { Scale } from './scale.ts';

const ready = (): Scale => {
  const scale = new Scale();
  scale.stand(0, 2);
  return scale;
};

describe('loading and emptying', () => {
  it('is unknown before any reading', () => {
    expect(new Scale().result).toMatchObject({ occupancy: 'unknown', fresh: false, reading: null });
  });

  it('has hysteresis: on over 8 kg, off only below 5', () => {
    const scale = ready();
    expect(scale.read(7.9).occupancy).toBe('empty');
    expect(scale.read(8.1).occupancy).toBe('loaded');
    expect(scale.read(5.1).occupancy).toBe('loaded');
    expect(scale.read(4.9)).toMatchObject({ occupancy: 'empty', estimate: null, enteredAt: null });
    expect(scale.read(7.9).occupancy).toBe('empty');
  });

  it('keeps the time of the first reading over the loading threshold', () => {
    const scale = ready();
    const t = scale.t + 100;
    scale.read(9, 20, 40, 40);
    expect(scale.result.enteredAt).toBe(t);
  });
});

describe('the front', () => {
  it('freezes the estimate while it is open', () => {
    const scale = ready();
    scale.read(20, 35);
    const before = scale.live(40, 2).estimate;
    scale.contacts = { ...scale.contacts, frontShut: false };
    expect(scale.read(30, 15, 12).estimate).toEqual(before);
  });

  it('makes what is on a new load when it has been proved shut', () => {
    const scale = ready();
    scale.read(20, 35);
    scale.live(40, 2);
    scale.contacts = { ...scale.contacts, frontShut: false };
    scale.read(60, 50, 30);
    scale.contacts = { ...scale.contacts, frontShut: true, frontProvedShut: true };
    const result = scale.wait(50);
    expect(result).toMatchObject({ estimate: null, enteredAt: null, occupancy: 'loaded' });
    scale.contacts = { ...scale.contacts, frontProvedShut: false };
    const t = scale.t + 100;
    const next = scale.live(31, 2);
    expect(next.enteredAt).toBe(t);
    expect(Math.abs((next.estimate?.kg ?? 0) - 31)).toBeLessThan(0.1);
  });

  it('goes on after a knock with the weight unchanged', () => {
    const scale = ready();
    scale.read(20, 35);
    const before = scale.live(40, 2).estimate;
    scale.contacts = { ...scale.contacts, frontShut: false };
    scale.wait(20);
    scale.contacts = { ...scale.contacts, frontShut: true };
    const after = scale.live(40, 1).estimate;
    expect(after?.spanMs).toBeGreaterThan((before?.spanMs ?? 0) + 500);
  });

  it('takes no readings while hands are on', () => {
    const scale = ready();
    scale.contacts = { ...scale.contacts, weightCounts: false };
    expect(scale.live(40, 2)).toMatchObject({ occupancy: 'loaded', estimate: null });
    scale.contacts = { ...scale.contacts, weightCounts: true };
    expect(scale.live(40, 1).estimate).not.toBeNull();
  });
});

describe('with no front contact', () => {
  it('does not take a load that walks off for a lighter animal', () => {
    const scale = ready();
    scale.read(20, 35);
    scale.live(40, 2);
    const leaving = scale.read(30, 20, 18, 18, 18, 16, 12).estimate;
    expect(Math.abs((leaving?.kg ?? 0) - 40)).toBeLessThan(0.3);
  });
});

describe('freshness', () => {
  it('ends when readings stay away, when the link is down, and comes back with a reading', () => {
    const scale = ready();
    expect(scale.wait(1500).fresh).toBe(true);
    expect(scale.wait(1).fresh).toBe(false);
    expect(scale.read(0).fresh).toBe(true);
    expect(scale.give({ t: scale.t, link: 'scale', up: false }).fresh).toBe(false);
  });
});
