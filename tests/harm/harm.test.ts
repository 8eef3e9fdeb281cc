import { describe, expect, it } from 'vitest';
import { runHarm } from './run.ts';

const usual = { beams: 'along' as const, sparse: true };

describe('harm in the simulated yard', () => {
  it('none without a fault in some 200 animals', () => {
    for (const [gate, seed] of [
      ['three-way', 11],
      ['two-way', 12],
    ] as const) {
      const outcome = runHarm({ ...usual, gate, seed, animals: 100, fault: null });
      expect(outcome.animals).toBeGreaterThan(80);
      expect(outcome.harms).toEqual([]);
    }
  });

  // So that it is known that harm would be seen.
  it('is seen where a relay welds', () => {
    const fault = 'welded leafA.extend';
    const options = { gate: 'three-way', seed: 1_000_000, animals: 12, beams: 'along' as const };
    expect(runHarm({ ...options, fault }).harms).not.toEqual([]);
  });

  it.each(['blown rail', 'silent keepAlive', 'pulse stopLoop', 'stall 300'])(
    '%s is named',
    (fault) => {
      const options = { gate: 'three-way', seed: 1_000_001, animals: 12, beams: 'along' as const };
      const outcome = runHarm({ ...options, fault });
      expect(outcome.named).not.toBeNull();
      expect(outcome.harms).toEqual([]);
    },
  );
});
