/** A page thread that dies takes nothing with it, and comes back at the same port. */
import { mkdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import type * as Threads from 'node:worker_threads';
import { expect, test, vi } from 'vitest';
import { startPage } from '../../../src/adapters/page/port.ts';
import { layout, snapshot } from './sample.ts';
import { newSite } from './served.ts';

const threads = vi.hoisted((): Threads.Worker[] => []);
vi.mock('node:worker_threads', async (original) => {
  const real = await original<typeof Threads>();
  class Watched extends real.Worker {
    constructor(...given: ConstructorParameters<typeof real.Worker>) {
      super(...given);
      threads.push(this);
    }
  }
  return { ...real, Worker: Watched };
});

test('dies: told, snapshots dropped; comes back: told, and it knows the layout again', async () => {
  const siteDir = await newSite();
  const webDir = join(siteDir, 'web');
  mkdirSync(webDir);
  writeFileSync(join(webDir, 'index.html'), '<!doctype html><title>Fank</title>');
  const page = await startPage({ siteDir, host: '127.0.0.1', port: 0, version: 'test', webDir });
  page.describe(layout);
  const links: boolean[] = [];
  page.onLink((up) => links.push(up));
  await threads[0]?.terminate();
  await expect.poll(() => links, { timeout: 5000 }).toEqual([false]);
  expect(page.wants()).toBe(false);
  page.publish(snapshot());
  await expect.poll(() => links, { timeout: 20_000 }).toEqual([false, true]);
  page.publish(snapshot({ seq: 7 }));
  await expect
    .poll(async () => (await fetch(`${page.address}/api/now`)).json() as Promise<object>, {
      timeout: 5000,
    })
    .toMatchObject({ layout: { id: 1 }, now: { seq: 7 } });
  expect(threads).toHaveLength(2);
  await page.close();
});
