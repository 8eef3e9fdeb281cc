import { spawn } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, test, vi } from 'vitest';
import { createSimulatedBoard } from '../../../src/adapters/relays/simulated.ts';
import { serviceManager } from '../../../src/adapters/system/notify.ts';
import { keepTicking } from '../../../src/cli/run.ts';
import { defaultConfig } from '../../../src/config/defaults.ts';
import { Loop } from '../../../src/loop.ts';
import { listenAt } from './datagrams.ts';

let folder = '';
let manager: ReturnType<typeof listenAt>;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'fank-notify-'));
  manager = listenAt(join(folder, 'socket'));
});
afterEach(() => {
  manager.close();
  rmSync(folder, { recursive: true, force: true });
});

const environment = (more: Record<string, string> = {}): NodeJS.ProcessEnv => ({
  NOTIFY_SOCKET: join(folder, 'socket'),
  ...more,
});

test('nobody listens: there is no service manager', () => {
  expect(serviceManager({}, 1)).toBeNull();
  expect(serviceManager({ NOTIFY_SOCKET: '' }, 1)).toBeNull();
});

test('an address that is none is refused by name', () => {
  expect(() => serviceManager({ NOTIFY_SOCKET: 'run/notify' }, 1)).toThrow(/run\/notify/);
  expect(() => serviceManager({ NOTIFY_SOCKET: `/${'a'.repeat(120)}` }, 1)).toThrow(/no address/);
});

test('ready and stopping are told, and a status stays on one line', () => {
  const service = serviceManager(environment(), 1);
  service?.ready('plan\nREADY=0');
  service?.stopping();
  expect(manager.take()).toEqual(['READY=1\nSTATUS=plan READY=0', 'STOPPING=1']);
});

test('an abstract name is an address too', () => {
  const name = `@fank-notify-${process.pid}`;
  const abstract = listenAt(name);
  serviceManager({ NOTIFY_SOCKET: name }, 1)?.stopping();
  expect(abstract.take()).toEqual(['STOPPING=1']);
  abstract.close();
});

test('the watchdog is fed by ticks, four times in its time at the most', () => {
  const env = environment({ WATCHDOG_USEC: '2000000', WATCHDOG_PID: '7' });
  const service = serviceManager(env, 7);
  for (let t = 0; t < 2000; t += 20) service?.ticked(t);
  expect(manager.take()).toEqual(Array(4).fill('WATCHDOG=1'));
});

test('no watchdog, or one meant for another process: ticks tell nothing', () => {
  serviceManager(environment(), 7)?.ticked(0);
  const other = environment({ WATCHDOG_USEC: '2000000', WATCHDOG_PID: '8' });
  serviceManager(other, 7)?.ticked(0);
  expect(manager.take()).toEqual([]);
});

test('nobody takes the datagrams any more: the service goes on', () => {
  const service = serviceManager(environment({ WATCHDOG_USEC: '4' }), 7);
  for (let t = 0; t < 5000; t += 1) service?.ticked(t);
  manager.close();
  expect(() => service?.ticked(6000)).not.toThrow();
  manager = listenAt(join(folder, 'other'));
});

describe('the event loop lives and its timers run, and only the ticks do not', () => {
  afterEach(() => {
    vi.useRealTimers();
  });

  /** A loop whose timer comes so much later than it asked for. */
  function ticking(): { loop: Loop; laterMs: number; blocked: boolean; turns: number } {
    vi.useFakeTimers({ now: 0 });
    const config = defaultConfig();
    const clock = { now: () => performance.now(), wallAt: (t: number) => t, isSet: () => true };
    const board = createSimulatedBoard(config.inputs);
    const loop = new Loop({ config, version: '0', clock, board, session: 's' });
    return { loop, laterMs: 0, blocked: false, turns: 0 };
  }

  test.each([
    ['every tick comes 25 ms late', { laterMs: 25 }],
    ['no tick is run', { blocked: true }],
  ])('%s: the watchdog is not fed, and is again as soon as they come in time', (_, trouble) => {
    const one = ticking();
    const service = serviceManager(environment({ WATCHDOG_USEC: '2000000' }), process.pid);
    const loop = {
      counts: one.loop.counts,
      untilTick: () => one.loop.untilTick() + one.laterMs,
      pump: () => {
        one.turns += 1;
        if (!one.blocked) one.loop.pump();
      },
    };
    const stop = keepTicking(loop, service);
    vi.advanceTimersByTime(2000);
    expect(manager.take().length).toBeGreaterThanOrEqual(3);

    Object.assign(one, trouble);
    vi.advanceTimersByTime(100);
    manager.take();
    const turns = one.turns;
    vi.advanceTimersByTime(10_000);
    expect(manager.take()).toEqual([]);
    expect(one.turns - turns).toBeGreaterThan(200);

    Object.assign(one, { laterMs: 0, blocked: false });
    vi.advanceTimersByTime(2000);
    expect(manager.take().length).toBeGreaterThanOrEqual(3);
    stop();
  });
});

test('the service is ready, feeds the watchdog, is silent while frozen, and says that it stops', async () => {
  const main = join(import.meta.dirname, '../../../src/cli/main.ts');
  const child = spawn(process.execPath, ['--import', 'tsx', main, 'run', '--site', folder], {
    env: { ...process.env, ...environment({ WATCHDOG_USEC: '200000' }) },
    stdio: 'ignore',
  });
  const ended = new Promise((resolve) => child.once('exit', resolve));
  const told: string[] = [];
  const see = async (what: string): Promise<void> => {
    await vi.waitUntil(
      () => told.push(...manager.take()) > 0 && told.some((t) => t.includes(what)),
      {
        timeout: 30_000,
        interval: 10,
      },
    );
  };
  await see('READY=1');
  await see('WATCHDOG=1');

  child.kill('SIGSTOP');
  // What was on its way when it froze is taken first; then as long as the watchdog would wait.
  await new Promise((resolve) => setTimeout(resolve, 100));
  manager.take();
  await new Promise((resolve) => setTimeout(resolve, 400));
  expect(manager.take()).toEqual([]);

  told.length = 0;
  child.kill('SIGCONT');
  await see('WATCHDOG=1');
  child.kill('SIGTERM');
  await see('STOPPING=1');
  expect(await ended).toBe(0);
});
