/// <reference lib="dom" />
/** The evening on a phone: what to act on, the lots, gain, one animal, files to keep, the lot sheet. */
import { readdirSync, statSync } from 'node:fs';
import { join } from 'node:path';
import type { Browser, Page as Tab } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { BOOK_MODULE } from '../../src/adapters/records/port.ts';
import { fillBook } from './book-site.ts';
import { axe, tooSmallOrWide } from './looks.ts';
import { buildPage, openBrowser, openPen, OPERATOR, phone, soon, type Pen } from './pen.ts';

/** Where pictures of every screen are kept; nowhere if not said. */
const SHOTS = process.env['FANK_SHOTS'];

let browser: Browser;
let webDir: string;
let pen: Pen;
/** The tag of one lamb. */
let tag: string;

// The book is only read: one service for all.
beforeAll(async () => {
  browser = await openBrowser();
  webDir = await buildPage(false);
  pen = await openPen(webDir, { bookModule: BOOK_MODULE });
  tag = fillBook(pen.siteDir);
}, 90_000);
afterAll(async () => {
  await browser.close();
  await pen.close();
}, 90_000);

async function toBook(tab: Tab, from = pen): Promise<void> {
  await tab.goto(from.url);
  await tab.locator('header button').last().tap();
  await tab.locator('[data-place=book]').tap();
  await tab.locator('.act-on').first().waitFor();
  await tab.locator('.animals tbody tr').first().waitFor();
}

/** Opens everything that is folded. */
async function unfold(tab: Tab): Promise<void> {
  await tab.evaluate(() => {
    for (const one of document.querySelectorAll('details')) one.open = true;
  });
}

async function shoot(tab: Tab, name: string): Promise<void> {
  if (SHOTS === undefined) return;
  const scroll = tab.locator('.scroll');
  const { most, high } = await scroll.evaluate((node) => ({
    most: node.scrollHeight,
    high: node.clientHeight,
  }));
  for (let y = 0, n = 1; y < most && n <= 14; y += high - 30, n += 1) {
    await scroll.evaluate((node, top) => {
      node.scrollTop = top;
    }, y);
    await tab.waitForTimeout(150);
    await tab.screenshot({ path: join(SHOTS, `${name}-${String(n)}.png`) });
  }
}

test('the day’s first screen says what to act on, and everything adds up', async () => {
  const context = await phone(browser);
  const tab = await context.newPage();
  await toBook(tab);
  const act = await tab.locator('.act-on summary').allInnerTexts();
  const found = act.map((text) => text.replaceAll(/\s+/g, ' ').trim());
  expect(found).toContain('5 Here on 12 Sep 2026, not today');
  expect(found).toContain('1 Still in withdrawal, or may be');
  expect(found).toContain('1 Sent by hand');
  expect(found).toContain('1 Let out early');
  expect(found).toContain('1 Weight not sure');
  // Both sides are sums of the same rows: no verdict on what nobody counted.
  expect(await tab.locator('.book').innerText()).not.toMatch(/agree/);
  expect(await tab.locator('.book').innerText()).toContain('fleece dry then, wet now');
  expect(await tab.locator('canvas').count()).toBe(3);

  await tab.getByLabel('Killing-out per cent').fill('45');
  await soon(() => tab.locator('.lot-card').first().innerText()).toContain('Carcass, estimated');
  await tab.getByLabel('Show only').fill('by hand');
  expect(await tab.locator('.animals tbody tr:not(.put)').count()).toBe(1);
  await tab.getByLabel('Show only').fill('put right');
  const corrected = await tab.locator('.animals tbody tr:not(.put)').innerText();
  expect(corrected).toMatch(/Heavy[\s\S]*Lot put right: was \w+, is Heavy \(operator 1\)/);

  await tab.getByLabel('Last five digits of its tag').fill(tag.slice(-5));
  await soon(() => tab.getByRole('heading', { name: tag }).count()).toBe(1);
  expect(await tab.locator('canvas').count()).toBe(4);

  const [sheet] = await Promise.all([
    context.waitForEvent('page'),
    tab.getByRole('link', { name: 'Open the lot sheet' }).tap(),
  ]);
  await sheet.waitForLoadState();
  expect(await sheet.locator('h1').innerText()).toBe('Lot sheet: the whole day, 26 September 2026');
  const left = await sheet.locator('main').evaluate((node) => getComputedStyle(node).maxWidth);
  expect(left).not.toBe('none'); // its own style was let in
  if (SHOTS !== undefined) {
    await sheet.pdf({ path: join(SHOTS, 'lot-sheet.pdf'), preferCSSPageSize: true });
    await sheet.screenshot({ path: join(SHOTS, 'lot-sheet-phone.png'), fullPage: true });
  }
  for (const [name, ending] of [
    ['Spreadsheet file (CSV: 41.5)', 'csv'],
    ['Spreadsheet file (CSV: 41,5)', 'csv'],
    ['ICAR data exchange file', 'json'],
  ] as const) {
    const [file] = await Promise.all([
      tab.waitForEvent('download'),
      tab.getByRole('link', { name }).tap(),
    ]);
    expect(file.suggestedFilename()).toBe(`fank-2026-09-26.${ending}`);
  }
  await context.close();
});

test('an animal of today is put right in the book, of whichever session; older days are only read', async () => {
  const context = await phone(browser);
  const tab = await context.newPage();
  await toBook(tab);
  await tab.getByLabel('Show only').fill('put right');
  expect(await tab.locator('.animals').innerText()).toContain('Only animals of today');
  pen.show({ session: 'S2' });
  const row = tab.locator('[data-put-right="30"]');
  await row.getByRole('button', { name: 'Put it right' }).tap();
  await row.getByRole('button', { name: 'Stores' }).tap();
  // Who says so has to be known.
  await tab.locator('form.sheet input').fill(OPERATOR);
  await tab.locator('form.sheet button[type=submit]').tap();
  await tab.locator('.device').waitFor();
  expect(pen.orders).toEqual([]);
  await row.getByRole('button', { name: 'Stores' }).tap();
  await soon(() => pen.orders).toEqual([{ do: 'went', animal: 30, lot: 'Stores' }]);
  expect((await axe(tab)).wrong).toEqual([]);
  expect(await tooSmallOrWide(tab)).toEqual([]);
  if (SHOTS !== undefined) await tab.screenshot({ path: join(SHOTS, 'book-put-right.png') });
  // In the evening another session is on.
  pen.show({ session: 'S3' });
  await soon(() => tab.locator('.animals').innerText()).toContain('Only animals of today');
  pen.tell({ id: 'S3', clock: { set: true, local: '2026-09-26T18:00:00' } });
  await row.getByRole('button', { name: 'Put it right' }).waitFor();
  await row.getByRole('button', { name: 'Fit' }).tap();
  const one = { animal: 30, session: 'S2' };
  await soon(() => pen.orders.slice(1)).toEqual([{ do: 'went', ...one, lot: 'Fit' }]);
  pen.reset();
  await context.close();
});

describe.each(['sun', 'night'] as const)('in the look %s', (look) => {
  test('axe finds nothing in the day book, folded or not, and nothing is too small', async () => {
    const context = await phone(browser, look);
    const tab = await context.newPage();
    await toBook(tab);
    await shoot(tab, `book-${look}`);
    let passed = 0;
    for (const state of ['folded', 'unfolded', 'one animal']) {
      if (state === 'unfolded') await unfold(tab);
      if (state === 'one animal') {
        await tab.getByLabel('Last five digits of its tag').fill(tag.slice(-5));
        await soon(() => tab.locator('canvas').count()).toBe(4);
        if (SHOTS !== undefined)
          for (const n of [2, 3])
            await tab
              .locator('.chart')
              .nth(n)
              .screenshot({ path: join(SHOTS, `chart-${look}-${String(n)}.png`) });
        await unfold(tab);
      }
      const result = await axe(tab);
      expect(result.wrong, state).toEqual([]);
      expect(await tooSmallOrWide(tab), state).toEqual([]);
      passed += result.passed;
    }
    await shoot(tab, `book-open-${look}`);
    console.log(`axe, day book, ${look}: 0 violations in 3 states, ${passed} rules passed`);
    await context.close();
  });
});

test('long words from right to left: nothing is cut off', async () => {
  const other = await openPen(await buildPage(true), { bookModule: BOOK_MODULE });
  fillBook(other.siteDir);
  const context = await phone(browser);
  const tab = await context.newPage();
  await tab.setViewportSize({ width: 360, height: 740 });
  await toBook(tab, other);
  await unfold(tab);
  expect(await tooSmallOrWide(tab)).toEqual([]);
  expect((await axe(tab)).wrong).toEqual([]);
  expect(await tab.locator('.book h2').allInnerTexts()).not.toContain('Lots');
  await context.close();
  await other.close();
});

test('the day book is no part of the first use', async () => {
  const context = await phone(browser);
  const tab = await context.newPage();
  const bytes = new Map(
    readdirSync(join(webDir, 'assets')).map((name) => [
      name,
      statSync(join(webDir, 'assets', name)).size,
    ]),
  );
  const sum = { first: 0, book: 0 };
  let part: keyof typeof sum = 'first';
  tab.on('response', (response) => {
    const name = new URL(response.url()).pathname.split('/').at(-1) ?? '';
    sum[part] += bytes.get(`${name}.gz`) ?? 0;
  });
  await tab.goto(pen.url);
  await tab.locator('.ground').waitFor();
  await tab.waitForLoadState('networkidle', { timeout: 2000 }).catch(() => undefined);
  part = 'book';
  await toBook2(tab);
  expect(sum.book).toBeGreaterThan(15_000);
  expect(sum.first).toBeGreaterThan(10_000);
  expect(sum.first).toBeLessThan(60 * 1024);
  console.log(`first use ${sum.first} bytes gzipped, the day book ${sum.book} more`);
  await context.close();
});

async function toBook2(tab: Tab): Promise<void> {
  await tab.locator('header button').last().tap();
  await tab.locator('[data-place=book]').tap();
  await tab.locator('canvas').first().waitFor();
}
