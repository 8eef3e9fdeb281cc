/** That an animal is still in withdrawal stays on its row, whatever rule sent it. */
import { describe, expect, test } from 'vitest';
import type { Plan } from '../../../src/core/sortplan/plan.ts';
import type { Config } from '../../../src/core/step.ts';
import { comesOn, goes, isReady, started, type Race } from './race.ts';

const TAG = '999000000000001';
const withPlan =
  (change: (plan: Plan) => Partial<Plan>) =>
  (config: Config): Config => ({ ...config, plan: { ...config.plan, ...change(config.plan) } });
const lots = (plan: Plan): Plan['lots'] =>
  plan.lots.map((lot) => ({ ...lot, forSlaughter: false }));
const tags = {
  lists: [],
  withdrawal: { lot: 'Stores' },
  unread: { lot: 'Stores' },
} satisfies Plan['tags'];

/** The row of one animal of 42.6 kg that is held until 20 September. */
function row(race: Race, go: (race: Race) => Race = (one) => one.until('ready', isReady)) {
  race.tag(TAG, { held: true, freeOn: '2026-09-20' });
  goes(go(comesOn(race, 42.6)));
  return race.rows()[0];
}

const HELD = expect.arrayContaining(['in-withdrawal', 'free-on-2026-09-20']) as string[];

describe('a held animal is flagged with its free day', () => {
  test('where withdrawal decided', () => {
    expect(row(started(withPlan(() => ({ tags }))))).toMatchObject({
      ...{ rule: 'withdrawal', flags: HELD },
    });
  });

  test('where a hand named the exit', () => {
    const race = started(withPlan((plan) => ({ tags, lots: lots(plan) })));
    const sent = row(race, (one) =>
      one.command({ do: 'exit', exit: 'right' }).until('ready', isReady),
    );
    expect(sent).toMatchObject({ rule: 'by-hand', exit: 'right', flags: HELD });
  });

  test('where the plan has no rules for tags', () => {
    expect(row(started(withPlan((plan) => ({ lots: lots(plan) }))))).toMatchObject({
      ...{ rule: 'settled', lot: 'Fit', flags: HELD },
    });
  });

  test('where the lot was full and it went on', () => {
    const race = started(
      withPlan((plan) => ({
        tags,
        lots: plan.lots
          .map((lot) =>
            lot.name === 'Stores' ? { ...lot, capacity: 0, whenFull: { overflow: 'Fit' } } : lot,
          )
          .map((lot) => ({ ...lot, forSlaughter: false })),
      })),
    );
    expect(row(race)).toMatchObject({ rule: 'overflow', lot: 'Fit', flags: HELD });
  });

  test.each(['weigh-only', 'count-only'] as const)('where no leaf moves: %s', (work) => {
    const race = started(withPlan(() => ({ work })));
    const sent = row(race, (one) => one.for(3000));
    expect(sent).toMatchObject({ lot: null, flags: HELD });
  });

  test('unclear is held too, with no day', () => {
    const race = started(withPlan((plan) => ({ lots: lots(plan) })));
    race.tag(TAG, { held: null });
    goes(comesOn(race, 42.6).until('ready', isReady));
    expect(race.rows()[0]?.flags).toEqual(['in-withdrawal']);
  });
});
