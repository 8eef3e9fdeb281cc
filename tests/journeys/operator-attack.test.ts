/// <reference lib="dom" />
/** What a name could do to the page, and what the page could let slip: rows of `docs/security.md`. */
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Browser, BrowserContext, Page as Tab } from 'playwright-core';
import { afterAll, beforeAll, expect, onTestFinished, test } from 'vitest';
import { BOOK_MODULE } from '../../src/adapters/records/port.ts';
import { layout } from '../adapters/page/sample.ts';
import { newSite } from '../adapters/page/served.ts';
import { letGo, session, writeRows } from '../adapters/records/example.ts';
import { buildPage, DECIDED, openBrowser, openPen, OPERATOR, phone, signIn, soon } from './pen.ts';
import type { Pen } from './pen.ts';

const EVIL =
  '<img src=x onerror="document.title=\'owned\'"><script>document.title="owned"</script>';

let browser: Browser;
let webDir: string;

beforeAll(async () => {
  browser = await openBrowser();
  webDir = await buildPage(false);
}, 90_000);
afterAll(async () => {
  await browser.close();
}, 90_000);

async function opened(): Promise<{ pen: Pen; context: BrowserContext; tab: Tab }> {
  const siteDir = await newSite();
  writeRows(siteDir, [
    session('S1', { farm: EVIL, mob: EVIL }),
    letGo(1, { lot: EVIL, reason: EVIL, tag: '999000000000123' }),
  ]);
  const pen = await openPen(webDir, { siteDir, bookModule: BOOK_MODULE });
  const context = await phone(browser);
  onTestFinished(async () => {
    await context.close();
    await pen.close();
  });
  const tab = await context.newPage();
  return { pen, context, tab };
}

/** Nothing of the name has become markup: it stands there as it was written. */
async function harmless(tab: Tab): Promise<void> {
  expect(await tab.locator('body').innerText()).toContain('<img src=x');
  expect(await tab.locator('img[src=x], body script:not([src])').count()).toBe(0);
  expect(await tab.title()).not.toBe('owned');
}

test('a lot, farm or reason that is HTML is shown as it is written, in race, day book and lot sheet', async () => {
  const { pen, context, tab } = await opened();
  await tab.goto(pen.url);
  const lots = layout.lots.map((lot) => (lot.name === 'Fit' ? { ...lot, name: EVIL } : lot));
  pen.page.describe({ ...layout, id: 2, plan: EVIL, lots });
  const decision = { lot: EVIL, exit: 'ahead', rule: 'sure', reason: EVIL, spray: EVIL } as const;
  pen.show({ ...DECIDED, layout: 2, decision, why: EVIL, refused: EVIL });
  await soon(() => tab.getByTestId('why').innerText()).toContain('<img');
  expect(await tab.locator('.lanes').innerText()).toContain('<img src=x');
  await harmless(tab);
  await tab.getByRole('button', { name: 'Menu' }).tap();
  await tab.getByRole('button', { name: 'Day book' }).tap();
  await tab.locator('.animals tbody tr').first().waitFor();
  await harmless(tab);
  const [sheet] = await Promise.all([
    context.waitForEvent('page'),
    tab.getByRole('link', { name: 'Open the lot sheet' }).tap(),
  ]);
  await sheet.waitForLoadState();
  await harmless(sheet);
});

test('a script that got in all the same does not run', async () => {
  const { pen, tab } = await opened();
  await tab.goto(pen.url);
  const refused = new Promise<string>((resolve) => {
    tab.on('console', (message) => {
      if (message.text().includes('Content Security Policy')) resolve(message.text());
    });
  });
  await tab.evaluate(() => {
    const script = document.createElement('script');
    script.textContent = 'document.title = "owned"';
    document.body.append(script);
  });
  expect(await refused).toContain('script-src');
  expect(await tab.title()).not.toBe('owned');
});

test('no address that is asked for, and nothing that the browser keeps, holds a PIN or a sign-in', async () => {
  const { pen, context, tab } = await opened();
  const asked: string[] = [];
  context.on('request', (request) => asked.push(request.url()));
  await tab.goto(pen.url);
  await signIn(tab);
  pen.show(DECIDED);
  await tab.locator('[data-exit=right] .hand').tap();
  await soon(() => pen.commands.length).toBe(1);
  await tab.getByRole('button', { name: 'Menu' }).tap();
  await tab.getByRole('button', { name: 'Day book' }).tap();
  await tab.locator('.animals tbody tr').first().waitFor();
  const cookies = (await context.cookies()).map(({ value }) => value);
  expect(cookies).toHaveLength(2);
  const kept = await tab.evaluate(() => JSON.stringify([localStorage, sessionStorage]));
  const reachable = await tab.evaluate(() => document.cookie);
  for (const secret of [OPERATOR, ...cookies, ...cookies.map((one) => decodeURIComponent(one))]) {
    expect(asked.filter((url) => url.includes(secret))).toEqual([]);
    expect(kept + reachable).not.toContain(secret);
  }
});

test('the built page holds nothing of the machine that it was built on', () => {
  const files = readdirSync(webDir, { recursive: true, encoding: 'utf8' });
  const texts = files.filter((name) => /\.(js|css|html|svg)$/.test(name));
  expect(texts.length).toBeGreaterThan(4);
  const here = [process.cwd(), process.env['HOME'], process.env['PATH']];
  for (const place of here.filter((one) => one !== undefined && one.length > 3)) {
    expect(
      texts.filter((name) => readFileSync(join(webDir, name), 'utf8').includes(place ?? '?')),
    ).toEqual([]);
  }
});
