import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { decide } from '../../../src/core/sortplan/decide.ts';
import { anyAnimal, anyCounts, anyDice, anyPlan, seededDice, soundPlan } from './random.ts';
import type { Dice } from './random.ts';
import { slow } from './slow.ts';
import type { Answer } from './slow.ts';

/** A fifth in every run of the tests; all 100,000 with FANK_PROOF=1. */
const RUNS = process.env['FANK_PROOF'] === '1' ? 100_000 : 20_000;

/** What the engine says, in the form of the slow one. */
function fast(...asked: Parameters<typeof decide>): Answer {
  const decision = decide(...asked);
  if (decision === null) return null;
  const { reason, ...rest } = decision;
  if (reason === '') throw new Error('a decision without a reason');
  return rest;
}

function agree(dice: Dice, plan: ReturnType<typeof anyPlan>): string {
  const animal = anyAnimal(dice);
  const counts = anyCounts(dice);
  const answer = fast(plan, animal, counts);
  const expected = slow(plan, animal, counts);
  if (JSON.stringify(sorted(answer)) !== JSON.stringify(sorted(expected)))
    expect({ plan, animal, counts, answer }).toEqual({ plan, animal, counts, answer: expected });
  return answer === null ? 'wait' : `${answer.rule}${answer.exit === null ? ' held' : ''}`;
}

function sorted(answer: Answer): unknown {
  return answer === null ? null : Object.entries(answer).sort(([a], [b]) => (a < b ? -1 : 1));
}

describe('two engines', () => {
  it(`agree on ${RUNS.toLocaleString('en')} random plans that the checker accepts, and animals`, () => {
    const kinds = new Map<string, number>();
    let plans = 0;
    fc.assert(
      fc.property(fc.noBias(fc.integer()), (seed) => {
        const dice = seededDice(seed);
        const plan = soundPlan(dice);
        if (plan === null) return;
        plans++;
        const kind = agree(dice, plan);
        kinds.set(kind, (kinds.get(kind) ?? 0) + 1);
      }),
      { numRuns: RUNS * 1.3 },
    );
    expect(plans).toBeGreaterThan(RUNS);
    const said = [...kinds]
      .sort(([, a], [, b]) => b - a)
      .map(([kind, n]) => `${kind} ${String(n)}`);
    console.log(`${String(plans)} plans and animals, no difference: ${said.join(', ')}`);
    // Every rule was seen deciding often, or the agreement would say little.
    const rules = ['settled', 'sure', 'tag', 'withdrawal', 'by-hand', 'gain', 'split', 'overflow'];
    for (const rule of [
      ...rules,
      'unsure',
      'wait',
      'unsure held',
      'withdrawal held',
      'overflow held',
    ])
      expect([rule, (kinds.get(rule) ?? 0) > RUNS / 1000]).toEqual([rule, true]);
  });
});

describe('whatever the plan, sound or not', () => {
  it('there is an answer of the right shape, and none that the moment of asking changes', () => {
    fc.assert(
      fc.property(anyDice, (dice) => {
        const plan = anyPlan(dice);
        const animal = anyAnimal(dice);
        const counts = anyCounts(dice);
        const asked = JSON.stringify([plan, animal, counts]);
        const decision = decide(plan, animal, counts);
        expect(JSON.stringify([plan, animal, counts])).toBe(asked);
        expect(decide(plan, animal, counts)).toEqual(decision);
        if (decision === null) return;
        // Plain JSON: it is kept in the state and must come back the same.
        expect(JSON.parse(JSON.stringify(decision))).toEqual(decision);
        expect(decision.reason).not.toMatch(/undefined|null|NaN/);
        const lot = plan.lots.find((one) => one.name === decision.lot);
        expect(decision.lot === null || lot !== undefined).toBe(true);
        if (lot !== undefined && decision.exit !== null) expect(decision.exit).toBe(lot.exit);
      }),
      { numRuns: 5000 },
    );
  });
});
