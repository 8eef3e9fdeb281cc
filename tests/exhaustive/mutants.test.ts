import { describe, expect, it } from 'vitest';
import { hunt, MUTANTS } from './mutants.ts';

describe('a core that breaks a rule is caught by the check of that rule', () => {
  for (const mutant of MUTANTS) {
    it(`${mutant.rule}: ${mutant.what}`, { timeout: 120_000 }, async () => {
      const { breach } = await hunt(mutant);
      expect(breach).not.toBeNull();
    });
  }

  it('has one for each of the twelve rules', () => {
    expect(new Set(MUTANTS.map(({ rule }) => rule)).size).toBe(12);
  });
});
