import { describe, expect, it } from 'vitest';
import type { Contact, ContactsResult } from '../../../src/core/contacts/contacts.ts';
import {
  begin,
  deadTimeOver,
  directionTo,
  end,
  endIfDue,
  endOf,
  initialLeaf,
  seenPosition,
  strokeEvent,
  switchFaults,
} from '../../../src/core/interlock/leaves.ts';
import type { LeafState, Stroke } from '../../../src/core/interlock/state.ts';
import { LEAF, SWITCHED } from './gate-bench.ts';

const contact = (level: boolean, edge: 'rose' | 'fell' | null = null): Contact => {
  return { raw: level, level, since: 0, rose: edge === 'rose', fell: edge === 'fell' };
};
const seen = (extended: Contact, retracted: Contact): ContactsResult => {
  const contacts = { 'leafA.extended': extended, 'leafA.retracted': retracted };
  return { fresh: true, linkUp: true, contacts, chattering: [] };
};
const NONE: ContactsResult = { fresh: true, linkUp: true, contacts: {}, chattering: [] };
const ON = contact(true);
const OFF = contact(false);
/** Under way from retracted to extended since t = 1000. */
const STROKE: Stroke = {
  direction: 'extend',
  kind: 'automatic',
  from: 'retracted',
  beganAt: 1000,
  madeAt: null,
};
const moving = (change: Partial<Stroke> = {}): LeafState => {
  return { ...initialLeaf(LEAF), stroke: { ...STROKE, ...change } };
};
const resting = (change: Partial<LeafState> = {}): LeafState => {
  return { ...initialLeaf(LEAF), extendOffAt: 0, retractOffAt: 0, dutyAt: 0, ...change };
};

describe('directions and ends', () => {
  it('belong together', () => {
    expect([endOf('extend'), endOf('retract')]).toEqual(['extended', 'retracted']);
    expect([directionTo('extended'), directionTo('retracted')]).toEqual(['extend', 'retract']);
  });
  it('a new leaf stands nobody knows where', () => {
    expect(initialLeaf(LEAF)).toEqual({
      position: 'unknown',
      assumed: true,
      strokes: 0,
      stroke: null,
      extendOffAt: null,
      retractOffAt: null,
      dutyUsedMs: 0,
      dutyAt: null,
    });
  });
});

describe('dead time', () => {
  it('counts from when the other direction went off', () => {
    const leaf = resting({ extendOffAt: 5000, retractOffAt: 0 });
    expect(deadTimeOver(leaf, 'retract', 5249, 250)).toBe(false);
    expect(deadTimeOver(leaf, 'retract', 5250, 250)).toBe(true);
    expect(deadTimeOver(leaf, 'extend', 5100, 250)).toBe(true);
    const other = resting({ extendOffAt: 0, retractOffAt: 5000 });
    expect(deadTimeOver(other, 'extend', 5249, 250)).toBe(false);
    expect(deadTimeOver(other, 'retract', 5100, 250)).toBe(true);
  });
  it('the same direction is off for a whole tick before it goes on again', () => {
    const leaf = resting({ extendOffAt: 5000 });
    expect(deadTimeOver(leaf, 'extend', 5019, 250)).toBe(false);
    expect(deadTimeOver(leaf, 'extend', 5020, 250)).toBe(true);
  });
  it('is not over while nobody knows when the other went off', () => {
    expect(deadTimeOver(resting({ retractOffAt: null }), 'extend', 9999, 250)).toBe(false);
    expect(deadTimeOver(resting({ extendOffAt: null }), 'extend', 9999, 250)).toBe(true);
  });
});

describe('a stroke', () => {
  it('remembers where it began', () => {
    const leaf = begin(LEAF, resting({ position: 'retracted' }), 'extend', 'homing', 700);
    const stroke = { direction: 'extend', kind: 'homing', from: 'retracted', madeAt: null };
    expect(leaf.stroke).toEqual({ ...stroke, beganAt: 700 });
    expect(leaf).toMatchObject({ position: 'unknown', dutyUsedMs: 0, dutyAt: 700 });
  });

  it('that reached its end stands there, and counts', () => {
    const leaf = end({ ...moving(), strokes: 3, dutyUsedMs: 50 }, 1400, true, true);
    expect(leaf).toMatchObject({ position: 'extended', assumed: false, strokes: 4, stroke: null });
    expect(leaf).toMatchObject({ extendOffAt: 1400, retractOffAt: null });
    expect(leaf).toMatchObject({ dutyUsedMs: 450, dutyAt: 1400 });
    const back = end(moving({ direction: 'retract' }), 1400, true, false);
    expect(back).toMatchObject({ position: 'retracted', assumed: true });
    expect(back).toMatchObject({ extendOffAt: null, retractOffAt: 1400 });
  });

  it('that was cut stands nobody knows where', () => {
    expect(end(moving(), 1400, false, false)).toMatchObject({ position: 'unknown', strokes: 1 });
  });

  it('home counts the strokes anew, but only one that got there', () => {
    const homing = { ...moving({ kind: 'homing' }), strokes: 9 };
    expect(end(homing, 1400, true, false).strokes).toBe(0);
    expect(end(homing, 1400, false, false).strokes).toBe(10);
  });

  it('with nothing under way there is nothing to end', () => {
    const leaf = resting();
    expect(end(leaf, 1400, true, true)).toBe(leaf);
  });

  it('is told by name, direction and phase', () => {
    const told = { kind: 'stroke', leaf: 'leafA', direction: 'retract', phase: 'begun' };
    expect(strokeEvent('leafA', moving({ direction: 'retract' }), 'begun')).toEqual(told);
    expect(strokeEvent('leafA', resting(), 'cut')).toMatchObject({ direction: 'extend' });
  });
});

describe('the end of a timed stroke', () => {
  it('goes off at the last tick within the limit', () => {
    const early = endIfDue(LEAF, moving(), 1980, NONE);
    expect(early).toEqual({ state: moving(), ended: false, conditions: [] });
    const late = endIfDue(LEAF, moving(), 1981, NONE);
    expect(late.ended).toBe(true);
    expect(late.state).toMatchObject({ position: 'extended', assumed: true, stroke: null });
  });
  it('held by hand it ends where nobody knows', () => {
    const late = endIfDue(LEAF, moving({ kind: 'hold' }), 2000, NONE);
    expect(late.state).toMatchObject({ position: 'unknown', stroke: null });
    expect(late.conditions).toEqual([]);
  });
  it('a leaf that rests has none', () => {
    const leaf = resting();
    expect(endIfDue(LEAF, leaf, 2000, NONE)).toEqual({ state: leaf, ended: false, conditions: [] });
  });
});

describe('the end of a stroke by its switch', () => {
  it('is driven on for the over-travel after the far end has made', () => {
    const made = endIfDue(SWITCHED, moving(), 1700, seen(ON, OFF));
    expect(made).toMatchObject({ ended: false, conditions: [] });
    expect(made.state.stroke?.madeAt).toBe(1700);
    expect(endIfDue(SWITCHED, made.state, 1799, seen(ON, OFF)).ended).toBe(false);
    const over = endIfDue(SWITCHED, made.state, 1800, seen(ON, OFF));
    expect(over).toMatchObject({ ended: true, conditions: [] });
    expect(over.state).toMatchObject({ position: 'extended', assumed: false });
  });
  it('a switch that bounces back off has made all the same', () => {
    const made = endIfDue(SWITCHED, moving({ madeAt: 1700 }), 1800, seen(OFF, OFF));
    expect(made.ended).toBe(true);
  });
  it('the over-travel never passes the limit', () => {
    const made = endIfDue(SWITCHED, moving({ madeAt: 1960 }), 1990, seen(ON, OFF));
    expect(made).toMatchObject({ ended: true, conditions: [] });
    expect(made.state.position).toBe('extended');
  });
  it('the near end says nothing of the far one', () => {
    expect(endIfDue(SWITCHED, moving(), 1700, seen(OFF, ON)).state.stroke?.madeAt).toBeNull();
    const back = endIfDue(SWITCHED, moving({ direction: 'retract' }), 1700, seen(OFF, ON));
    expect(back.state.stroke?.madeAt).toBe(1700);
  });
  it('not made by the limit: off, position unknown, a fault of that leaf', () => {
    const late = endIfDue(SWITCHED, moving(), 1981, seen(OFF, OFF));
    expect(late.conditions).toEqual([{ fault: 'end-not-reached', detail: 'leafA' }]);
    expect(late).toMatchObject({ ended: true, state: { position: 'unknown', stroke: null } });
    expect(endIfDue(SWITCHED, moving(), 1980, seen(OFF, OFF)).ended).toBe(false);
  });
  it('held by hand not to have arrived is no fault', () => {
    const late = endIfDue(SWITCHED, moving({ kind: 'hold' }), 2000, seen(OFF, OFF));
    expect(late).toMatchObject({ ended: true, conditions: [] });
  });
});

describe('end switches that cannot be believed', () => {
  const faults = (state: LeafState, t: number, contacts: ContactsResult, letting = false) =>
    switchFaults(SWITCHED, state, t, contacts, letting, 250).map(
      (c) => `${c.fault} ${c.detail ?? ''}`,
    );

  it('both ends made, at rest and under way', () => {
    expect(faults(resting(), 1000, seen(ON, ON))).toEqual(['both-ends-made leafA']);
    expect(faults(moving(), 1100, seen(ON, ON))).toEqual(['both-ends-made leafA']);
  });
  it('the start end still made after 30 % of the travel', () => {
    expect(faults(moving(), 1240, seen(OFF, ON))).toEqual([]);
    expect(faults(moving(), 1241, seen(OFF, ON))).toEqual(['leaf-did-not-start leafA']);
    const back = moving({ direction: 'retract', from: 'extended' });
    expect(faults(back, 1241, seen(ON, OFF))).toEqual(['leaf-did-not-start leafA']);
    expect(faults(moving(), 1241, seen(OFF, OFF))).toEqual([]);
  });
  it('the far end made sooner than half the travel', () => {
    expect(faults(moving(), 1399, seen(ON, OFF))).toEqual(['end-too-soon leafA']);
    expect(faults(moving(), 1400, seen(ON, OFF))).toEqual([]);
    expect(faults(moving(), 1399, seen(OFF, OFF))).toEqual([]);
    const back = moving({ direction: 'retract', from: 'extended' });
    expect(faults(back, 1399, seen(OFF, ON))).toEqual(['end-too-soon leafA']);
  });
  it('soon is right for a leaf that came from between its ends, or from that very end', () => {
    expect(faults(moving({ from: 'unknown' }), 1100, seen(ON, OFF))).toEqual([]);
    expect(faults(moving({ from: 'extended' }), 1100, seen(ON, OFF))).toEqual([]);
  });
  it.each([
    ['the extended end lost', seen(contact(false, 'fell'), OFF)],
    ['the retracted end lost', seen(OFF, contact(false, 'fell'))],
    ['the extended end made', seen(contact(true, 'rose'), OFF)],
    ['the retracted end made', seen(OFF, contact(true, 'rose'))],
  ])('%s with nothing driving it', (_, contacts) => {
    expect(faults(resting(), 1000, contacts)).toEqual(['leaf-moved-unbidden leafA']);
    expect(faults(resting(), 1000, contacts, true)).toEqual(['end-lost-letting-go leafA']);
  });
  it('under way a change is what is wanted, at rest none is', () => {
    expect(faults(moving(), 1500, seen(OFF, contact(false, 'fell')))).toEqual([]);
    expect(faults(resting(), 1000, seen(OFF, ON))).toEqual([]);
  });
  it.each([
    ['extend', { extendOffAt: 800 }, OFF, contact(false, 'fell')],
    ['extend', { extendOffAt: 800 }, contact(true, 'rose'), OFF],
    ['retract', { retractOffAt: 800 }, contact(false, 'fell'), OFF],
    ['retract', { retractOffAt: 800 }, OFF, contact(true, 'rose')],
  ])('%s: what runs on the same way within the dead time is no fault', (_, off, one, other) => {
    expect(faults(resting(off), 1049, seen(one, other))).toEqual([]);
    expect(faults(resting(off), 1049, seen(one, other), true)).toEqual([]);
    expect(faults(resting(off), 1050, seen(one, other))).toEqual(['leaf-moved-unbidden leafA']);
    const never = resting({ extendOffAt: null, retractOffAt: null });
    expect(faults(never, 100, seen(one, other))).toEqual(['leaf-moved-unbidden leafA']);
  });
  it('the longer one of dead time and over-travel counts', () => {
    const slow = { ...SWITCHED, overTravelMs: 400 };
    const late = seen(contact(true, 'rose'), OFF);
    const at = (t: number) =>
      switchFaults(slow, resting({ extendOffAt: 800 }), t, late, false, 250);
    expect([at(1199).length, at(1200).length]).toEqual([0, 1]);
  });
  it.each([
    ['extend', { extendOffAt: 800 }, contact(false, 'fell'), OFF],
    ['extend', { extendOffAt: 800 }, OFF, contact(true, 'rose')],
    ['retract', { retractOffAt: 800 }, OFF, contact(false, 'fell')],
    ['retract', { retractOffAt: 800 }, contact(true, 'rose'), OFF],
  ])('%s: back again is one at once', (_, off, one, other) => {
    expect(faults(resting(off), 810, seen(one, other))).toEqual(['leaf-moved-unbidden leafA']);
  });
  it('a leaf without switches, or whose inputs are not there, has no such fault', () => {
    expect(switchFaults(LEAF, resting(), 1000, seen(ON, ON), false, 250)).toEqual([]);
    expect(faults(resting(), 1000, NONE)).toEqual([]);
    expect(faults(moving(), 1300, NONE)).toEqual([]);
  });
});

describe('the position that the switches show', () => {
  it.each([
    [ON, OFF, 'extended'],
    [OFF, ON, 'retracted'],
    [OFF, OFF, 'unknown'],
    [ON, ON, 'unknown'],
  ] as const)('%#', (extended, retracted, position) => {
    expect(seenPosition(SWITCHED, seen(extended, retracted))).toBe(position);
  });
  it('is unknown without them', () => {
    expect(seenPosition(SWITCHED, NONE)).toBe('unknown');
  });
});
