import { describe, expect, it } from 'vitest';
import { fakeClock, judgeClock, startClock } from '../../../src/adapters/clock/clock.ts';

const PLAUSIBLE = Date.UTC(2026, 8, 12);

describe('the clock', () => {
  it('counts whole ms from its start and agrees with the system clock', () => {
    const clock = startClock();
    const t = clock.now();
    expect(Number.isInteger(t)).toBe(true);
    expect(t).toBeLessThan(1000);
    expect(Math.abs(clock.wallAt(t) - Date.now())).toBeLessThan(1000);
  });

  it('is believed only where something vouches for it', () => {
    const signs = { wallMs: PLAUSIBLE, synchronised: false, hardwareClock: false, vouched: false };
    expect(judgeClock(signs)).toBe(false);
    expect(judgeClock({ ...signs, synchronised: true })).toBe(true);
    expect(judgeClock({ ...signs, hardwareClock: true })).toBe(true);
    expect(judgeClock({ ...signs, vouched: true })).toBe(true);
  });

  it('is never believed with a date before Fank was written', () => {
    const signs = { wallMs: 0, synchronised: true, hardwareClock: true, vouched: true };
    expect(judgeClock(signs)).toBe(false);
  });

  it('keeps intervals when the wall clock is put right', () => {
    const clock = fakeClock(0, false);
    clock.advance(500);
    clock.setWall(PLAUSIBLE, true);
    clock.advance(250);
    expect([clock.now(), clock.wallNow(), clock.wallAt(500)]).toEqual([
      750,
      PLAUSIBLE + 250,
      PLAUSIBLE,
    ]);
    expect(clock.isSet()).toBe(true);
  });
});
