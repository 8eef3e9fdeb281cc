/** Which faults are there: shown with their cause, latched or not, cleared by a person or by themselves. */
import { describe, expect, it } from 'vitest';
import {
  faults,
  initial,
  result,
  type Condition,
  type FaultsState,
} from '../../../src/core/faults/faults.ts';

const STOP: Condition = { fault: 'stop-pressed' };
const LATE: Condition = { fault: 'tick-late' };
const BATTERY: Condition = { fault: 'battery-low' };
const HELD: Condition = { fault: 'held-long' };
const CHATTERS: Condition = { fault: 'input-chatters', detail: 'frontShut' };

interface Given {
  t?: number;
  latch?: boolean;
  clear?: boolean;
}
const next = (
  state: FaultsState,
  conditions: Condition[],
  { t = 100, latch = true, clear = false }: Given = {},
) => faults(state, t, conditions, latch, clear);
const begun = (...conditions: Condition[]): FaultsState => next(initial(), conditions).state;
const names = (state: FaultsState): string[] =>
  state.active.map((a) => `${a.fault} ${a.present ? 'there' : 'latched'}`);

describe('a fault that comes', () => {
  it('is told once, with its detail where it has one, and kept with its time', () => {
    const first = next(initial(), [STOP, CHATTERS], { t: 700 });
    expect(first.events).toEqual([
      { kind: 'fault', fault: 'stop-pressed', on: true },
      { kind: 'fault', fault: 'input-chatters', on: true, detail: 'frontShut' },
    ]);
    const again = next(first.state, [CHATTERS, STOP], { t: 900 });
    expect(again.events).toEqual([]);
    expect(result(again.state).active).toEqual([
      { fault: 'stop-pressed', since: 700, present: true, detail: '' },
      { fault: 'input-chatters', since: 700, present: true, detail: 'frontShut' },
    ]);
  });
  it('twice in one step is one', () => {
    const two = next(initial(), [CHATTERS, { ...CHATTERS, detail: 'stopLoop' }]);
    expect([names(two.state), two.events.length]).toEqual([['input-chatters there'], 1]);
  });
  it('stays the first of them whatever comes after it', () => {
    const state = next(begun(LATE), [STOP]).state;
    expect(names(state)).toEqual(['tick-late latched', 'stop-pressed there']);
  });
});

describe('a fault whose cause has gone', () => {
  it('that a person clears stays until then, and is told when it goes', () => {
    const gone = next(begun(STOP), []);
    expect([names(gone.state), gone.events]).toEqual([['stop-pressed latched'], []]);
    const cleared = next(gone.state, [], { clear: true });
    expect(names(cleared.state)).toEqual([]);
    expect(cleared.events).toEqual([{ kind: 'fault', fault: 'stop-pressed', on: false }]);
  });
  it('that clears itself goes at once', () => {
    const gone = next(begun(BATTERY, HELD), [HELD]);
    expect(names(gone.state)).toEqual(['held-long there']);
    expect(gone.events).toEqual([{ kind: 'fault', fault: 'battery-low', on: false }]);
  });
  it('goes by itself while stopped, whoever clears it otherwise', () => {
    expect(names(next(begun(STOP), [], { latch: false }).state)).toEqual([]);
  });
  it('that comes back while it waits to be cleared is the same one', () => {
    const back = next(next(begun(STOP), []).state, [STOP], { t: 900 });
    expect([result(back.state).active[0]?.since, back.events]).toEqual([100, []]);
    expect(names(back.state)).toEqual(['stop-pressed there']);
  });
});

it('clearing takes nothing away whose cause is there', () => {
  const tried = next(begun(STOP, LATE), [STOP], { clear: true });
  expect(names(tried.state)).toEqual(['stop-pressed there']);
  expect(tried.events).toEqual([{ kind: 'fault', fault: 'tick-late', on: false }]);
});

it('only a fault that takes motion off is a trip, and only its cause stands against clearing', () => {
  expect(result(initial())).toEqual({ active: [], tripped: false, causePresent: false });
  expect(result(begun(BATTERY, HELD))).toMatchObject({ tripped: false, causePresent: false });
  expect(result(begun(BATTERY, STOP))).toMatchObject({ tripped: true, causePresent: true });
  const gone = next(begun(BATTERY, STOP), [BATTERY]);
  expect(gone.result).toMatchObject({ tripped: true, causePresent: false });
  expect(result(gone.state)).toEqual(gone.result);
});
