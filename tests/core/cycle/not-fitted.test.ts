/** A gate that is not fitted does not move for animals, however it is asked; hold-to-run it does. */
import { expect, it } from 'vitest';
import { configWith, Script } from '../script.ts';

const OPEN = configWith(['frontShut', 'stopLoop', 'startButton'], {
  notFitted: ['4 contacts', '7 stop'],
});
const ready = (config = OPEN): Script =>
  new Script(config, true).set('frontShut', true).set('stopLoop', true).wait(600);

it('start is refused with the names of what is open, by the page and by the wired button', () => {
  const s = ready().say({ do: 'start' });
  s.set('startButton', true).wait(100).set('startButton', false).wait(1000);
  const reason = 'The fitting is not finished: 4 contacts, 7 stop. See Fitting.';
  expect(s.of('refused').map((one) => one.reason)).toEqual([reason, reason]);
  expect(s.mode()).toBe('stopped');
  expect(s.changes.filter(({ output }) => output.startsWith('leaf'))).toEqual([]);
});

it('a leaf is moved by hold-to-run, and clearing a fault leads to stopped', () => {
  const s = ready().say({ do: 'hold', output: 'leafA.extend', press: 1 }).wait(60);
  expect(s.moving()).toEqual(['leafA.extend']);
  s.set('stopLoop', false).wait(40);
  expect([s.mode(), s.moving()]).toEqual(['fault', []]);
  s.set('stopLoop', true).wait(100).say({ do: 'clear' }).say({ do: 'start' });
  expect(s.mode()).toBe('stopped');
});

it('with nothing open it starts', () => {
  const s = ready({ ...OPEN, notFitted: [] }).say({ do: 'start' });
  expect(s.mode()).toBe('homing');
});
