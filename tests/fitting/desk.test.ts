import { expect, test } from 'vitest';
import { fittingText } from '../../src/fitting/file.ts';
import type { FittingState } from '../../src/fitting/state.ts';
import { doAll } from './do-all.ts';
import { Fitter, yardOf } from './fitter.ts';

test('ten steps in their order; the race names every safety step that is open', () => {
  const f = new Fitter();
  const ids = f.desk.view().steps.map(({ id }) => id);
  expect(ids).toEqual([
    ...['supply', 'head', 'scale', 'contacts', 'leaves', 'exits'],
    ...['stop', 'hands', 'reboots', 'dry'],
  ]);
  expect(f.desk.notFitted()).toEqual([
    ...['1 supply', '4 contacts', '5 leaves', '6 exits'],
    ...['7 stop', '8 hands and gaps', '9 reboots'],
  ]);
});

test('all done and signed: the race may start, the drop-out is proved, nothing is left open', async () => {
  const f = new Fitter({ boot: null });
  expect(await f.say({ do: 'sign' })).toContain('safety step is open');
  await doAll(f);
  expect(f.desk.view().steps.filter(({ done }) => !done)).toEqual([]);
  expect(f.desk.notFitted()).toEqual(['signature']);
  expect(await f.say({ do: 'sign' })).toBeNull();
  expect(f.desk.notFitted()).toEqual([]);
  expect(f.desk.dropOutProved()).toBe(true);
  const { signed } = f.desk.view();
  expect(signed).toMatchObject({ who: 'A. Fitter', open: [], holds: true });
});

test('what is not safety may be left: it is signed as not done', async () => {
  const f = new Fitter({ boot: null });
  await doAll(f, ({ what }) => !['readings', 'level', 'zero', 'mass', 'dry-runs'].includes(what));
  expect(await f.say({ do: 'sign' })).toBeNull();
  expect(f.desk.notFitted()).toEqual([]);
  expect(f.desk.view().signed?.open).toEqual(['readings', 'level', 'zero', 'mass', 'dry-runs']);
});

test('left and taken up again: what is on the card stands after a restart', async () => {
  const f = new Fitter({ boot: null });
  await doAll(f, ({ what }) => what !== 'fence');
  const again = new Fitter({
    state: JSON.parse(fittingText(f.written)) as FittingState,
    boot: null,
  });
  const open = again.desk
    .view()
    .steps.flatMap(({ items }) =>
      items.filter(({ standing }) => standing !== 'done').map(({ id }) => id),
    );
  expect(open).toEqual(['fence']);
});

test.each([
  ['inputs', ['4 contacts']],
  ['gate', ['5 leaves', '6 exits', '7 stop', '8 hands and gaps', '9 reboots']],
])(
  'another setting of %s opens its steps again, and the signature holds no more',
  async (mark, open) => {
    const f = new Fitter({ boot: null });
    await doAll(f);
    await f.say({ do: 'sign' });
    const marks = { scale: 'scale 1', inputs: 'inputs 1', gate: 'gate 1', [mark]: 'changed' };
    const again = new Fitter({ state: f.written, marks, boot: null });
    expect(again.desk.notFitted()).toEqual(open);
    expect(again.desk.view().signed?.holds).toBe(false);
    await doAll(again);
    expect(again.desk.notFitted()).toEqual(['signature']);
  },
);

test('a new yard opens the short step, which needs no new signature', async () => {
  const f = new Fitter({ boot: null });
  await doAll(f);
  await f.say({ do: 'sign' });
  await f.say({ do: 'new-yard', place: 'Lower pens' });
  expect(f.desk.notFitted()).toEqual(['new yard']);
  await doAll(f);
  expect(f.desk.notFitted()).toEqual([]);
  await f.say({ do: 'new-yard', place: 'Hill pens' });
  expect(f.desk.notFitted()).toEqual(['new yard']);
  expect(f.desk.view().yard).toMatchObject({ place: 'Hill pens' });
});

test('what was found after the signature is not signed: it asks for a new one', async () => {
  const f = new Fitter({ boot: null });
  await doAll(f, ({ what }) => what !== 'mass');
  await f.say({ do: 'sign' });
  await doAll(f);
  expect(f.desk.notFitted()).toEqual(['signature']);
  const again = new Fitter({ state: f.written, boot: null });
  expect(again.desk.notFitted()).toEqual(['signature']);
  expect(again.desk.view().signed).toMatchObject({ holds: false, since: ['mass'] });
  expect(await again.say({ do: 'sign' })).toBeNull();
  expect(again.desk.notFitted()).toEqual([]);
  // Done again it is another figure, whatever the clock says of it.
  await again.say({ do: 'again', item: 'fuses' });
  await doAll(again);
  expect(again.desk.notFitted()).toEqual(['signature']);
});

test('dry runs come after the signature, and need no other', async () => {
  const f = new Fitter({ boot: null });
  await doAll(f, ({ what }) => what !== 'dry-runs');
  await f.say({ do: 'sign' });
  await doAll(f);
  expect(f.item('dry-runs').standing).toBe('done');
  expect(f.desk.notFitted()).toEqual([]);
});

test('where nothing real moves, nothing is asked for', () => {
  expect(new Fitter({ needed: false }).desk.notFitted()).toEqual([]);
});

test('what could not be written is not done', async () => {
  const f = new Fitter();
  f.failing = 'The card is full.';
  expect(await f.say({ do: 'answer', item: 'fuses', value: true })).toBe('The card is full.');
  expect(f.item('fuses').standing).toBe('open');
  expect(f.changes).toBe(0);
});

test('an item that is not there, and an answer of another form', async () => {
  const f = new Fitter();
  expect(await f.say({ do: 'take', item: 'nonsense' })).toContain('no item');
  for (const [item, value] of [
    ['fuses', 'yes'],
    ['rest-volts', [12, 12]],
    ['rest-volts', [-1]],
    ['stall-volts', 'covered'],
    ['stopped', true],
    ['travel:leafA', [500]],
    ['fence', true],
  ] as const) {
    const said = { do: 'answer', item, value: value as string } as const;
    expect(await f.say(said), item).toContain('no answer');
  }
  expect(f.desk.view().steps.some(({ items }) => items.some(({ result }) => result))).toBe(false);
});

test('the inputs of the yard make the contacts: safety ones with their wire, buttons without', () => {
  const f = new Fitter({ yard: yardOf(['stopLoop', 'startButton']) });
  const contacts = f.desk.view().steps.find(({ id }) => id === 'contacts');
  expect(contacts?.items.map(({ id }) => id)).toEqual([
    ...['press:stopLoop', 'wire:stopLoop', 'press:startButton', 'fence'],
  ]);
});
