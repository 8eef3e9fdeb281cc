import { afterEach, beforeEach, describe, expect, test, vi } from 'vitest';
import { openBluetoothScale } from '../../../src/adapters/scale/bluetooth.ts';
import type { Scale } from '../../../src/adapters/scale/port.ts';
import type { BluetoothScale } from '../../../src/config/bluetooth.ts';
import type { ReadingInput } from '../../../src/core/trace.ts';
import { shippedScale } from '../../config/frames/shipped.ts';
import { Air, HEAD } from './air.ts';

const MEASURED: BluetoothScale = { name: HEAD.name, adapter: 0, silenceMs: 1000 };
const STREAM = {
  service: 'f4a70000-0101-4e5d-9c3b-7b1e2d5a6c88',
  notify: '0000fff1-0000-1000-8000-00805f9b34fb',
  write: 'FFF2',
};
const SERVICE = 'f4a7000001014e5d9c3b7b1e2d5a6c88';
const KG_41_5 = Buffer.from('006c20', 'hex');

let air: Air;
let scale: Scale;
let readings: ReadingInput[];
let links: [up: boolean, reason: string][];

beforeEach(() => {
  vi.useFakeTimers({ toFake: ['setTimeout', 'clearTimeout', 'setImmediate', 'performance'] });
  air = new Air();
  [readings, links] = [[], []];
});
afterEach(async () => {
  const closing = scale.close();
  await vi.advanceTimersByTimeAsync(5000);
  await closing;
  vi.useRealTimers();
});

function open(bluetooth = MEASURED, profile = shippedScale('plain-continuous')): void {
  scale = openBluetoothScale({
    bluetooth,
    profile,
    now: () => Math.round(performance.now()),
    onBytes: () => undefined,
    onReading: (reading) => readings.push(reading),
    onLink: (up, reason) => links.push([up, reason]),
    onNote: () => undefined,
    radio: () => Promise.resolve(air.radio),
  });
}
const passes = async (ms: number): Promise<void> => {
  await vi.advanceTimersByTimeAsync(ms);
};
const measured = (bytes = KG_41_5): void => air.sends('181d', '2a9d', bytes);
const reasons = (): string => links.map(([, reason]) => reason).join('\n');

describe('by the Weight Scale Service', () => {
  test('found, connected, subscribed; each measurement is a reading', async () => {
    open();
    await passes(50);
    expect(air).toMatchObject({ connected: true, scanning: false });
    measured();
    measured(Buffer.from('00ffff', 'hex'));
    measured(Buffer.from('006c', 'hex'));
    expect(readings.map(({ kg, status }) => [kg, status])).toEqual([
      [41.5, undefined],
      [null, 'error'],
    ]);
    expect(links).toEqual([[true, 'whole frames arrive']]);
    expect(scale.health()).toMatchObject({ up: true, frames: 2, noise: 1, opened: 1 });
  });

  test('silence decides, though it is still called connected; then it is connected anew', async () => {
    open();
    await passes(50);
    measured();
    await passes(1100);
    expect(links.at(-1)).toEqual([false, expect.stringContaining('for 1000 ms')]);
    await passes(100);
    measured();
    expect(scale.health()).toMatchObject({ up: true, opened: 2 });
  });

  test('a controller that will not let go of a dead device is started anew', async () => {
    open();
    await passes(50);
    air.deaf.add('disconnect');
    await passes(2500);
    expect(air.resets).toBeGreaterThan(0);
    expect(scale.health().opened).toBeGreaterThan(1);
  });

  test('one that goes away is looked for at once', async () => {
    open();
    await passes(50);
    measured();
    air.drops();
    expect(links.at(-1)).toEqual([false, 'Pen scale went away. Is it on and near?']);
    await passes(200);
    measured();
    expect(links.map(([up]) => up)).toEqual([true, false, true]);
  });

  test.each(['connect', 'servicesDiscover', 'characteristicsDiscover', 'notify'])(
    'no answer to %s: said, and tried again',
    async (event) => {
      air.deaf.add(event);
      open();
      await passes(4200);
      expect(reasons()).toContain(`does not answer over Bluetooth (${event})`);
      air.deaf.clear();
      // The attempt that had begun meanwhile gets no answer either.
      await passes(4500);
      measured();
      expect(scale.health().up).toBe(true);
    },
  );
});

test('what is not there is said in words', async () => {
  air.advertises = false;
  open();
  await passes(10_100);
  expect(reasons()).toContain('Pen scale is not seen by Bluetooth');
});

test('another device near is left alone', async () => {
  open({ ...MEASURED, name: 'Some other scale' });
  await passes(5000);
  expect(air.connected).toBe(false);
});

test('by its address, whatever it calls itself', async () => {
  open({ address: HEAD.address.toLowerCase(), adapter: 0, silenceMs: 1000 });
  await passes(50);
  expect(air.connected).toBe(true);
});

test('a device without the service is named with what it lacks', async () => {
  air.services = [];
  open();
  await passes(50);
  expect(reasons()).toContain('Pen scale has no service 181d');
});

test('a machine without Bluetooth: said, tried again, nothing thrown', async () => {
  scale = openBluetoothScale({
    bluetooth: MEASURED,
    profile: shippedScale('plain-continuous'),
    now: () => Math.round(performance.now()),
    onBytes: () => undefined,
    onReading: () => undefined,
    onLink: (up, reason) => links.push([up, reason]),
    onNote: () => undefined,
    radio: () => Promise.reject(new Error('This machine has no Bluetooth.')),
  });
  await passes(5000);
  expect(links).toEqual([[false, 'This machine has no Bluetooth.']]);
});

describe('a byte stream that is named by its UUIDs', () => {
  beforeEach(() => {
    air.services = [SERVICE];
    air.characteristics = ['fff1', 'fff2'];
  });

  test('is read by the profile, wherever the pieces end', async () => {
    open({ ...MEASURED, stream: STREAM });
    await passes(50);
    const LINE = 'ST,GS,+   41.5kg\r\n';
    for (const piece of [
      '41.5kg\r\n',
      LINE.slice(0, 5),
      LINE.slice(5),
      LINE.slice(0, 9),
      LINE.slice(9),
      LINE,
      LINE,
      'ST,GS,+   4',
      '2.0kg\r\n',
    ])
      air.sends(SERVICE, 'fff1', Buffer.from(piece, 'latin1'));
    expect(readings.map(({ kg }) => kg)).toEqual([41.5, 41.5, 41.5, 42]);
  });

  test('is asked where the profile asks', async () => {
    open({ ...MEASURED, stream: STREAM }, shippedScale('scp-0499-asked'));
    await passes(50);
    expect(air.written[0]).toBe('\nW\r');
    air.sends(SERVICE, 'fff1', Buffer.from('\n 1G        41.5kg \r', 'latin1'));
    expect(readings[0]).toMatchObject({ kg: 41.5 });
  });
});
