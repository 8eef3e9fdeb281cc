/// <reference lib="dom" />
/** Every place and every sheet of the page, in both looks and in the language that nobody speaks. */
import { join } from 'node:path';
import type { Browser, Page as Tab } from 'playwright-core';
import { afterAll, beforeAll, expect, onTestFinished, test } from 'vitest';
import { BOOK_MODULE } from '../../src/adapters/records/port.ts';
import { makeSite } from '../../src/config/starting-site.ts';
import { newSite } from '../adapters/page/served.ts';
import { fillBook } from './book-site.ts';
import { layout } from '../adapters/page/sample.ts';
import { axe, tooSmallOrWide } from './looks.ts';
import { buildPage, DECIDED, openBrowser, openPen, phone, soon, type Pen } from './pen.ts';
import { fillWorkshop, TRACE } from './workshop-site.ts';

const INSTALLER = '13579135';
/** Two minutes on a small machine, and most screens are held against axe by their own journeys. */
const PROOF = process.env['FANK_PROOF'] === '1';
/** Where pictures of every screen are kept; nowhere if not said. */
const SHOTS = process.env['FANK_SHOTS'];
/** The fitting needs a box to be looked at: its screens are walked through in its own journey. */
const PLACES = ['workshop', 'card', 'session', 'plan', 'book', 'check', 'race'] as const;

let browser: Browser;
const built: string[] = [];
let passed = 0;
let screens = 0;

beforeAll(async () => {
  if (!PROOF) return;
  browser = await openBrowser();
  built.push(await buildPage(false), await buildPage(true));
}, 120_000);
afterAll(async () => {
  if (!PROOF) return;
  await browser.close();
  console.log(`axe, the whole page: 0 violations on ${screens} screens, ${passed} rules passed`);
}, 90_000);

async function check(tab: Tab, name: string, whole = true): Promise<void> {
  const { wrong, passed: rules } = await axe(tab);
  expect(wrong, name).toEqual([]);
  if (whole) expect(await tooSmallOrWide(tab), name).toEqual([]);
  passed += rules;
  screens += 1;
  if (SHOTS !== undefined) await tab.screenshot({ path: join(SHOTS, `walk-${name}.png`) });
}

async function go(tab: Tab, place: (typeof PLACES)[number]): Promise<void> {
  await tab.locator('header button[aria-expanded]').tap();
  await tab.locator(`[data-place=${place}]`).tap();
  await tab.locator(`main.${place === 'card' ? 'yard-card' : place}`).waitFor();
}

async function typePin(tab: Tab): Promise<void> {
  for (const digit of INSTALLER) {
    await tab.locator('.keys button', { hasText: digit }).first().tap();
  }
  await tab.locator('form.sheet button[type=submit]').tap();
  await tab.locator('.device').waitFor();
}

async function unfold(tab: Tab): Promise<void> {
  await tab.evaluate(() => {
    for (const one of document.querySelectorAll('details')) one.open = true;
  });
}

/** The race as it is worked; what lies over it: menu with devices, calls, the alarm, the rain lock. */
async function race(tab: Tab, pen: Pen, name: string): Promise<void> {
  await tab.locator('header button[aria-expanded]').tap();
  await tab.getByTestId('devices').waitFor();
  await check(tab, `${name}-menu`);
  await tab.locator('header button[aria-expanded]').tap();
  pen.page.describe({ ...layout, id: 2, marks: ['condition', 'lame', 'keep'] });
  pen.show({ ...DECIDED, layout: 2 });
  await tab.locator('.marks').waitFor();
  await check(tab, `${name}-let-go`);
  const faults: Parameters<Pen['show']>[0]['faults'] = [{ name: 'held-long', detail: null }];
  pen.show({ ...DECIDED, layout: 2, letGo: null, faults, asks: ['unsure', 'lane', 'crate'] });
  await tab.getByTestId('held-alarm').waitFor();
  await check(tab, `${name}-alarm`);
  await tab.locator('header button[aria-expanded]').tap();
  await tab.locator('[data-testid=rain-lock]').tap();
  await tab.locator('.dock > .hold').waitFor();
  await check(tab, `${name}-rain`);
  pen.show({});
}

/** What is behind a press within the places. */
async function behind(tab: Tab, place: string, name: string): Promise<void> {
  if (place === 'workshop') {
    await tab.locator('.trace', { hasText: TRACE }).tap();
    await tab.locator('.weight canvas').waitFor();
    await check(tab, `${name}-trace`);
  }
  if (place === 'plan') {
    for (const more of await tab.locator('.card [aria-expanded]').all()) await more.tap();
    for (const rules of ['tags', 'gain', 'doubt'])
      await tab.locator(`[data-rules=${rules}] button`).first().tap();
    await tab.locator('[data-rules=marks] .add').tap();
    await check(tab, `${name}-plan-open`);
    for (const part of [1, 2]) {
      await tab.locator('.parts button').nth(part).tap();
      await check(tab, `${name}-plan-${String(part)}`);
    }
  }
  if (place === 'book') {
    await unfold(tab);
    await check(tab, `${name}-book-open`);
    await tab.getByTestId('make-share').tap();
    await tab.getByTestId('share').waitFor();
    await tab.getByTestId('share').scrollIntoViewIfNeeded();
    await check(tab, `${name}-share`);
  }
}

test.runIf(PROOF).each([
  ['sun', 'sun', 0],
  ['night', 'night', 0],
  ['pseudo', 'sun', 1],
] as const)('every screen, %s', { timeout: 400_000 }, async (name, look, build) => {
  const siteDir = await newSite();
  makeSite(siteDir);
  fillBook(siteDir);
  fillWorkshop(siteDir);
  const pen = await openPen(built[build] ?? '', { siteDir, bookModule: BOOK_MODULE });
  const context = await phone(browser, look);
  onTestFinished(async () => {
    await context.close();
    await pen.close();
  });
  const tab = await context.newPage();
  pen.tell({ again: [{ tag: '999000000001337', animals: [2, 5] }] });
  if (build === 1) await tab.setViewportSize({ width: 360, height: 740 });
  // As the code on the yard card leads there.
  await tab.goto(`${pen.url}#sign-in`);
  await tab.locator('form.sheet').waitFor();
  await check(tab, `${name}-sign-in`);
  expect(new URL(tab.url()).hash).toBe('');
  await typePin(tab);
  for (const place of PLACES) {
    await go(tab, place);
    if (place === 'workshop') await soon(() => tab.locator('.trace').count()).toBe(2);
    if (place === 'book') await tab.locator('.animals tbody tr').first().waitFor();
    if (place === 'plan') await tab.getByTestId('heads').waitFor();
    if (place === 'session') await tab.locator('[data-animal]').first().waitFor();
    if (place === 'card') await tab.locator('.qr').waitFor();
    await check(tab, `${name}-${place}`);
    await behind(tab, place, name);
  }
  await race(tab, pen, name);
});
