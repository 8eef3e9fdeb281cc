import { expect, it } from 'vitest';
import { configWith, Script } from '../script.ts';

const CONFIG = configWith(['frontShut', 'stopLoop']);
const HOLD = { do: 'hold', output: 'leafA.extend' } as const;
const FREE = { do: 'hold', output: 'leafA.retract' } as const;
const ready = (): Script =>
  new Script(CONFIG).set('frontShut', true).set('stopLoop', true).wait(500);

it('a leaf moves only while a finger renews, and is off 150 ms after the last renewal', () => {
  const s = ready();
  for (let n = 0; n < 4; n += 1) s.say(HOLD).wait(100);
  expect(s.moving()).toEqual(['leafA.extend']);
  const last = s.t - 100;
  s.wait(400);
  expect(s.moving()).toEqual([]);
  const off = s.motion().at(-1);
  expect((off?.t ?? Infinity) - last).toBeLessThanOrEqual(150);
});

it('a late renewal of a press that has ended moves nothing', () => {
  const s = ready()
    .say({ ...HOLD, press: 1 })
    .wait(400)
    .say({ ...HOLD, press: 1 })
    .wait(40);
  expect(s.moving()).toEqual([]);
  expect(
    s
      .say({ ...HOLD, press: 2 })
      .wait(40)
      .moving(),
  ).toEqual(['leafA.extend']);
});

it('the stop loop ends a press at once, and it does not go on by itself', () => {
  const s = ready().say(HOLD).wait(60).set('stopLoop', false);
  expect(s.moving()).toEqual([]);
  s.set('stopLoop', true).wait(60).say(HOLD).wait(60);
  expect(s.moving()).toEqual([]);
});

it('freeing pauses the sorting, stops all other motion and goes only the opening way', () => {
  const s = new Script(CONFIG).begin().weigh(36).wait(1300);
  expect(s.moving()).toEqual(['leafA.extend']);
  s.say(FREE).wait(20);
  expect(s.moving()).toEqual([]);
  expect(s.mode()).toBe('paused');
  for (let n = 0; n < 4; n += 1) s.say(FREE).wait(100);
  expect(s.moving()).toEqual(['leafA.retract']);
  s.wait(400).say(HOLD).wait(40);
  expect(s.moving()).toEqual([]);
  expect(s.of('refused').at(-1)?.command).toBe('hold');
});
