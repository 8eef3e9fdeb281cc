import { expect, test } from 'vitest';
import { DeadTime, oppositeOf } from '../../../src/adapters/relays/dead-time.ts';

const NAMES = ['leafA.extend', 'leafA.retract', 'letGoLamp'];

function known(): DeadTime {
  const dead = new DeadTime(NAMES, 250);
  dead.readBack({}, 0);
  return dead;
}

test('the dead time counts from the reading back of the off, not from its asking', () => {
  const dead = known();
  dead.sent({ 'leafA.extend': true });
  expect(dead.freeAt('leafA.retract')).toBeNull();
  dead.readBack({ 'leafA.extend': true }, 1000);
  expect(dead.freeAt('leafA.retract')).toBeNull();
  dead.sent({});
  expect(dead.freeAt('leafA.retract')).toBeNull();
  dead.readBack({}, 1150);
  expect(dead.freeAt('leafA.retract')).toBe(1400);
});

test('a later reading back of the same off does not begin it anew', () => {
  const dead = known();
  dead.readBack({}, 200);
  expect(dead.freeAt('leafA.extend')).toBe(250);
});

test('what is no direction of a leaf waits for nothing', () => {
  const dead = new DeadTime(NAMES, 250);
  expect(dead.freeAt('letGoLamp')).toBe(0);
});

test('a board of which nothing is known may have either direction on', () => {
  const dead = new DeadTime(NAMES, 250);
  expect([dead.freeAt('leafA.extend'), dead.allOff]).toEqual([null, false]);
  dead.readBack({}, 40);
  expect([dead.freeAt('leafA.extend'), dead.allOff]).toEqual([290, true]);
  dead.forget();
  expect([dead.freeAt('leafA.extend'), dead.allOff]).toEqual([null, false]);
});

test('an on that was sent counts as on although it was never read back', () => {
  const dead = known();
  dead.sent({ 'leafA.retract': true });
  expect([dead.freeAt('leafA.extend'), dead.allOff]).toEqual([null, false]);
});

test('the other direction of each', () => {
  expect(['leafB.extend', 'leafB.retract', 'keepAlive'].map(oppositeOf)).toEqual([
    'leafB.retract',
    'leafB.extend',
    null,
  ]);
});
