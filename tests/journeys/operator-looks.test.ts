/// <reference lib="dom" />
/** Whether everybody can read and hit it: both looks, small phones, long words, right to left. */
import { statSync } from 'node:fs';
import { join } from 'node:path';
import type { Browser, Page as Tab } from 'playwright-core';
import { afterAll, beforeAll, beforeEach, describe, expect, test } from 'vitest';
import type { LinkFigures, Snapshot } from '../../src/adapters/page/messages.ts';
import { axe, tooSmallOrWide } from './looks.ts';
import { buildPage, DECIDED, openBrowser, openPen, phone, signIn, soon, type Pen } from './pen.ts';

const STATES: Record<string, Partial<Snapshot>> = {
  stopped: {},
  decided: DECIDED,
  'not sure': {
    ...DECIDED,
    letGo: null,
    standsAt: null,
    weight: { kg: 38.2, ageMs: 0, u95Kg: 1.24, state: 'not-sure' },
    decision: { lot: null, exit: null, rule: 'unsure', reason: 'it leans', spray: null },
    asks: ['unsure', 'lane'],
    waits: ['confirm'],
  },
  fault: {
    ...DECIDED,
    mode: 'fault',
    letGo: null,
    faults: [{ name: 'stop-pressed', detail: null }],
    asks: ['clear'],
    weight: { kg: null, ageMs: null, u95Kg: null, state: 'none' },
    links: { scale: false, relays: true, records: true },
    volts: 10.9,
    batteryLow: true,
    refused: 'A fault is not cleared: clear it first.',
  },
};

let browser: Browser;
let webDir: string;
let pen: Pen;

beforeAll(async () => {
  browser = await openBrowser();
  webDir = await buildPage(false);
  pen = await openPen(webDir);
}, 90_000);
afterAll(async () => {
  await browser.close();
  await pen.close();
}, 90_000);
beforeEach(() => {
  pen.reset();
});

const LINKS: LinkFigures[] = [
  {
    link: 'scale',
    up: false,
    reason:
      '/dev/serial/by-id/usb-A_long_name_of_an_adapter_0001-port0 went away. Check the cable.',
    perSecond: 9.8,
    noise: 3,
    heardAgeMs: 61_000,
    reopened: 2,
    lostAgoMs: 61_000,
  },
];

async function show(tab: Tab, state: Partial<Snapshot>, on = pen): Promise<void> {
  on.show(state);
  const mode = state.mode ?? 'stopped';
  await soon(() => tab.getByTestId('mode').getAttribute('data-mode')).toBe(mode);
  await tab.waitForTimeout(250);
}

describe.each(['sun', 'night'] as const)('in the look %s', (look) => {
  test('axe finds nothing in any state, menu or sheet; every target is 64 px', async () => {
    const context = await phone(browser, look);
    const tab = await context.newPage();
    await tab.goto(pen.url);
    let passed = 0;
    const check = async (name: string): Promise<void> => {
      const result = await axe(tab);
      expect(result.wrong, name).toEqual([]);
      expect(await tooSmallOrWide(tab), name).toEqual([]);
      passed += result.passed;
    };
    await show(tab, {});
    expect(await tab.evaluate(() => document.documentElement.dataset['look'])).toBe(look);
    await tab.getByRole('button', { name: 'Sign in' }).tap();
    await check('sign in');
    await tab.getByRole('button', { name: 'Close' }).tap();
    await signIn(tab);
    pen.page.links(LINKS);
    await tab.getByRole('button', { name: 'Menu' }).tap();
    await soon(() => tab.getByTestId('links').textContent()).toContain('9.8');
    await check('menu');
    await tab.getByRole('button', { name: 'Close' }).tap();
    for (const [name, state] of Object.entries(STATES)) {
      await show(tab, state);
      await check(name);
    }
    pen.freeze();
    await soon(() => tab.getByTestId('banner').count()).toBe(1);
    await check('silent');
    console.log(`axe, ${look}: 0 violations on 7 screens, ${passed} rules passed`);
    await context.close();
  });
});

test('long words from right to left: nothing is cut off, left stays left', async () => {
  const other = await openPen(await buildPage(true));
  const context = await phone(browser);
  const tab = await context.newPage();
  await tab.setViewportSize({ width: 360, height: 740 });
  await tab.goto(other.url);
  for (const [name, state] of Object.entries(STATES)) {
    await show(tab, state, other);
    expect(await tooSmallOrWide(tab), name).toEqual([]);
    expect((await axe(tab)).wrong, name).toEqual([]);
  }
  expect(await tab.evaluate(() => document.documentElement.dir)).toBe('rtl');
  const left = await tab.locator('[data-exit=left]').boundingBox();
  const right = await tab.locator('[data-exit=right]').boundingBox();
  expect(left?.x).toBeLessThan(right?.x ?? 0);
  // Every word on the page comes from the words: an English one would have no accent.
  const plain = await tab.locator('.dock').innerText();
  expect(plain).not.toMatch(/\b(Start|Stop|Pause)\b/);
  await context.close();
  await other.close();
});

test('on the smallest phone the weight, the lot and let go are seen without scrolling', async () => {
  const context = await phone(browser);
  const tab = await context.newPage();
  await tab.setViewportSize({ width: 360, height: 640 });
  await tab.goto(pen.url);
  await show(tab, DECIDED);
  const dock = await tab.locator('.dock').boundingBox();
  for (const seen of ['[data-testid=kg]', '[data-testid=going]', '.lot.chosen', '.gate svg']) {
    const box = await tab.locator(seen).boundingBox();
    expect((box?.y ?? 0) + (box?.height ?? 1e9), seen).toBeLessThanOrEqual((dock?.y ?? 0) + 1);
  }
  const kg = await tab.locator('[data-testid=kg]').evaluate((node) => {
    const range = document.createRange();
    range.selectNodeContents(node);
    return range.getBoundingClientRect().width / innerWidth;
  });
  console.log(`the weight fills ${(kg * 100).toFixed(0)} % of the smallest phone's width`);
  expect(kg).toBeGreaterThan(0.6);
  await context.close();
});

test('first use takes 60 KB at most over the line; the other places are fetched when they are gone to', async () => {
  const context = await phone(browser);
  const tab = await context.newPage();
  const loaded = new Map<string, string>();
  tab.on('response', (response) => {
    const { pathname } = new URL(response.url());
    if (pathname.startsWith('/api/')) return;
    loaded.set(pathname, response.headers()['content-encoding'] ?? 'plain');
  });
  await tab.goto(pen.url);
  await show(tab, DECIDED);
  expect(loaded.get('/')).toBe('gzip');
  expect([...loaded.values()].filter((how) => how !== 'gzip')).toEqual([]);
  const first = [...loaded.keys()].map((path) => (path === '/' ? '/index.html' : path));
  const bytes = first.reduce((sum, path) => sum + statSync(join(webDir, `${path}.gz`)).size, 0);
  expect(first.length).toBeGreaterThan(2);
  expect(bytes).toBeGreaterThan(5000);
  expect(bytes).toBeLessThanOrEqual(60 * 1024);
  console.log(`first use: ${bytes} bytes gzipped in ${first.length} files`);
  await context.close();
});
