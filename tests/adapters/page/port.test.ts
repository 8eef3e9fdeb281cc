/** The page's thread, seen from the main thread: it may be slow, gone or refused, never in the way. */
import { createServer, type AddressInfo } from 'node:net';
import { writeFileSync, mkdirSync } from 'node:fs';
import { join } from 'node:path';
import { performance } from 'node:perf_hooks';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { startPage, type Page, type PageOptions } from '../../../src/adapters/page/port.ts';
import { layout, snapshot } from './sample.ts';
import { newSite, OPERATOR } from './served.ts';

let options: PageOptions;
const pages: Page[] = [];

beforeEach(async () => {
  const siteDir = await newSite();
  const webDir = join(siteDir, 'web');
  mkdirSync(webDir);
  writeFileSync(join(webDir, 'index.html'), '<!doctype html><title>Fank</title>');
  options = { siteDir, host: '127.0.0.1', port: 0, version: 'test', webDir };
}, 90_000);
afterEach(async () => {
  for (const page of pages.splice(0)) await page.close();
}, 90_000);

async function start(more: Partial<PageOptions> = {}): Promise<Page> {
  const page = await startPage({ ...options, ...more });
  pages.push(page);
  return page;
}

test('a port that another program has: said with what to do', async () => {
  const other = createServer().listen(0, '127.0.0.1');
  await new Promise((resolve) => other.once('listening', resolve));
  const { port } = other.address() as AddressInfo;
  await expect(start({ port })).rejects.toThrow(/another program has it.*--port/);
  other.close();
});

test('snapshots are passed on ten times a second at most, and posting one takes no time', async () => {
  const page = await start();
  page.describe(layout);
  let posted = 0;
  const took: number[] = [];
  const beganMs = performance.now();
  for (let seq = 1; performance.now() - beganMs < 1050; seq++) {
    const atMs = performance.now();
    if (page.wants()) posted++;
    page.publish(snapshot({ seq, t: seq }));
    took.push(performance.now() - atMs);
    await new Promise((resolve) => setImmediate(resolve));
  }
  expect(posted).toBeGreaterThan(3);
  expect(posted).toBeLessThanOrEqual(11);
  took.sort((one, other) => one - other);
  expect(took[Math.floor(took.length * 0.99)]).toBeLessThan(2);
});

test('stop comes through to the daemon, and its answer back', async () => {
  const page = await start();
  page.onCommand((command, who) => {
    expect([command, who]).toEqual([{ do: 'stop' }, { role: 'anyone', device: null }]);
    return Promise.resolve({ ok: true });
  });
  const stopped = await fetch(`${page.address}/api/stop`, { method: 'POST' });
  expect(await stopped.json()).toEqual({ ok: true });
});

test('a daemon that does not answer: 504 after two seconds, with the emergency stop named', async () => {
  const page = await start();
  page.onCommand(() => new Promise(() => undefined));
  const stopped = await fetch(`${page.address}/api/stop`, { method: 'POST' });
  expect(stopped.status).toBe(504);
  expect(await stopped.text()).toContain('emergency stop');
});

test('a handler that throws refuses in words', async () => {
  const page = await start();
  page.onCommand(() => Promise.reject(new Error('the loop has ended')));
  const stopped = await fetch(`${page.address}/api/stop`, { method: 'POST' });
  expect(await stopped.json()).toMatchObject({ error: 'refused', reason: 'the loop has ended' });
});

test('closing ends open streams at once', async () => {
  const page = await start();
  page.describe(layout);
  page.publish(snapshot());
  const stream = await fetch(`${page.address}/api/live`);
  const ended = stream.text().catch(() => 'cut');
  const beganMs = performance.now();
  await page.close();
  pages.length = 0;
  await ended;
  expect(performance.now() - beganMs).toBeLessThan(1500);
});

test('PINs of a new site are told once, and open the page', async () => {
  const siteDir = join(options.siteDir, 'new');
  const page = await start({ siteDir });
  expect(page.freshPins).not.toBeNull();
  const signIn = (pin: string): Promise<Response> =>
    fetch(`${page.address}/api/sign-in`, {
      method: 'POST',
      headers: { 'content-type': 'application/json' },
      body: JSON.stringify({ pin }),
    });
  expect((await signIn(page.freshPins?.operator ?? '')).status).toBe(200);
  expect((await signIn(OPERATOR)).status).toBe(401);
  expect((await start({ siteDir })).freshPins).toBeNull();
});
