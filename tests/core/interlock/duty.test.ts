import { describe, expect, it } from 'vitest';
import { dutyAllows, dutyUsedMs, spentDutyMs } from '../../../src/core/interlock/duty.ts';
import { initialLeaf } from '../../../src/core/interlock/leaves.ts';
import { Bench, configOf, gateOf, LEAF } from './gate-bench.ts';

/** S3 40 % of ten minutes: the bucket holds 60 s and leaks 0.3 s a second. */
const RATED = { ...LEAF, duty: { onMs: 240_000, periodMs: 600_000 } };
const used = (dutyMs: number, at: number | null) => {
  return { ...initialLeaf(RATED), dutyUsedMs: dutyMs, dutyAt: at };
};

describe('duty of an actuator', () => {
  it('is spent after a restart: a quarter of the on-time allowed in a period', () => {
    expect(spentDutyMs(RATED)).toBe(60_000);
    expect(initialLeaf(RATED).dutyUsedMs).toBe(60_000);
    expect(dutyAllows(RATED, initialLeaf(RATED), 1e9)).toBe(false);
  });

  it('for continuous duty nothing is counted and nothing waits', () => {
    expect(spentDutyMs(LEAF)).toBe(0);
    expect(dutyUsedMs(LEAF, used(5000, 0), 1000)).toBe(5000);
    expect(dutyAllows(LEAF, used(1e9, 0), 0)).toBe(true);
  });

  it('rests off at three quarters of its share, never below nothing', () => {
    expect(dutyUsedMs(RATED, used(6000, 1000), 1000)).toBe(6000);
    expect(dutyUsedMs(RATED, used(6000, 1000), 11_000)).toBe(3000);
    expect(dutyUsedMs(RATED, used(6000, 1000), 600_000)).toBe(0);
    expect(dutyUsedMs(RATED, used(6000, null), 600_000)).toBe(6000);
  });

  it('allows a stroke only where the whole of its limit fits', () => {
    expect(dutyAllows(RATED, used(59_000, 0), 0)).toBe(true);
    expect(dutyAllows(RATED, used(59_001, 0), 0)).toBe(false);
    expect(dutyAllows(RATED, used(60_000, 0), 3334)).toBe(true);
    expect(dutyAllows(RATED, used(60_000, 0), 3320)).toBe(false);
  });
});

describe('a gate whose duty is spent', () => {
  const RESTING = configOf(gateOf(RATED));

  it('waits after power-up before it goes home, says so, and goes on by itself', () => {
    const b = new Bench(RESTING).wait(300).ask({ mode: 'homing', started: true });
    b.ask({ confirmed: true });
    expect(b.wait(2500).on()).toEqual([]);
    expect(b.faults()).toEqual(['duty-spent leafA']);
    expect(b.result.waits).toEqual(['duty']);
    b.wait(800);
    expect(b.on()).toEqual(['leafA.retract']);
    expect(b.result.waits).toEqual([]);
  });

  it('counts what a stroke was on, and says who has to rest for the wanted exit', () => {
    const b = new Bench(configOf(gateOf({ ...RATED, duty: { onMs: 4800, periodMs: 600_000 } })));
    b.t = 600_000;
    b.start();
    expect(b.state.leaves['leafA']?.dutyUsedMs).toBe(1000);
    expect(b.ask({ exit: 'left' }).wait(20).faults()).toEqual(['duty-spent leafA']);
    expect(b.on()).toEqual([]);
    expect(b.result.waits).toEqual(['duty']);
    expect(b.ask({ exit: 'right' }).wait(20).faults()).toEqual(['duty-spent leafB']);
    expect(b.ask({ exit: 'ahead' }).wait(20).faults()).toEqual([]);
    expect(b.ask({ exit: null }).wait(20).faults()).toEqual([]);
  });

  it('holds back a held button as well', () => {
    const b = new Bench(RESTING).wait(300);
    b.ask({ mode: 'fitting', hold: { output: 'leafA.extend', press: 1 } });
    expect(b.on()).toEqual([]);
  });
});
