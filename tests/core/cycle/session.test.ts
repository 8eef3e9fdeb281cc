import { describe, expect, test } from 'vitest';
import type { Config } from '../../../src/core/step.ts';
import { comesOn, goes, isReady, started, type Race } from './race.ts';

/** Two places in the lot Fit, then stop. */
const two = (config: Config): Config => ({
  ...config,
  plan: {
    ...config.plan,
    lots: config.plan.lots.map((lot) =>
      lot.name === 'Fit' ? { ...lot, capacity: 2, whenFull: 'stop' } : lot,
    ),
  },
});

/** Fank was switched off and on: a race that has to be started anew. */
const restarted = (change?: (config: Config) => Config): Race =>
  started(change).command({ do: 'stop' });

function startAgain(race: Race): Race {
  race.for(600).command({ do: 'start' }).command({ do: 'confirm' });
  return race.until('running', (r) => r.state.cycle.mode === 'running').for(1200);
}

describe('a session that goes on', () => {
  test('starts nothing, and the next start takes it up: numbers, counts and capacity go on', () => {
    const race = restarted(two);
    race.command({ do: 'session', session: 'morning', nextAnimal: 8, counts: { Fit: 1 } });
    expect(race.state.cycle.mode).toBe('stopped');
    goes(comesOn(startAgain(race), 42.6).until('ready', isReady));
    expect(race.rows()[0]).toMatchObject({ animal: 8, session: 'morning', lot: 'Fit' });
    comesOn(race, 42.6).for(3000);
    expect(race.state.cycle.animal?.decision).toMatchObject({ exit: null, rule: 'overflow' });
  });

  test('a pen that is gated off makes room: the animal that waits is let go', () => {
    const race = startAgain(restarted(two).command({ do: 'session', counts: { Fit: 2 } }));
    comesOn(race, 42.6).for(3000);
    expect(isReady(race)).toBe(false);
    race.command({ do: 'session', counts: { Fit: 0 } }).until('ready', isReady);
    goes(race);
    expect(race.state.cycle.counts).toEqual({ Fit: 1 });
  });

  test('another session is refused while sorting, and begins at 1 with nobody counted', () => {
    const race = goes(comesOn(started(), 36.4).until('ready', isReady));
    race.command({ do: 'session', session: 'other' });
    expect(race.refusals()).toEqual(['Stop first, then begin another session.']);
    expect(race.state.cycle.counts).toEqual({ Stores: 1 });
    race.command({ do: 'stop' }).command({ do: 'session', session: 'other' });
    expect(race.state.cycle).toMatchObject({ session: 'other', counts: {}, nextAnimal: 1 });
  });
});
