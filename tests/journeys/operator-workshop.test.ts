/// <reference lib="dom" />
/** The technician: what went wrong on which day, and what a trace shows of it. */
import type { Browser, Page as Tab } from 'playwright-core';
import { afterAll, beforeAll, expect, onTestFinished, test } from 'vitest';
import { BOOK_MODULE } from '../../src/adapters/records/port.ts';
import { newSite } from '../adapters/page/served.ts';
import { buildPage, openBrowser, openPen, phone, signIn, soon } from './pen.ts';
import { fillWorkshop, TRACE } from './workshop-site.ts';

const INSTALLER = '13579135';

let browser: Browser;
let webDir: string;

beforeAll(async () => {
  browser = await openBrowser();
  webDir = await buildPage(false);
}, 90_000);
afterAll(async () => {
  await browser.close();
}, 90_000);

async function workshop(): Promise<Tab> {
  const siteDir = await newSite();
  fillWorkshop(siteDir);
  const pen = await openPen(webDir, { siteDir, bookModule: BOOK_MODULE });
  const context = await phone(browser);
  onTestFinished(async () => {
    await context.close();
    await pen.close();
  });
  const tab = await context.newPage();
  await tab.goto(pen.url);
  return tab;
}

/** Goes to the workshop by the menu. */
async function goThere(tab: Tab): Promise<void> {
  await tab.locator('header button').last().tap();
  await tab.getByRole('navigation').getByRole('button', { name: 'Workshop' }).tap();
  await tab.locator('.past-fault').first().waitFor();
}

async function openTrace(tab: Tab): Promise<void> {
  await tab.locator('.trace', { hasText: TRACE }).tap();
  await tab.locator('.weight canvas').waitFor();
}

test('faults of past days say what to do; a trace shows weight, states, contacts and decisions', async () => {
  const tab = await workshop();
  await goThere(tab);
  const faults = await tab.locator('.past-fault').allInnerTexts();
  expect(faults.map((text) => text.replaceAll(/\s+/g, ' ').trim())).toEqual([
    expect.stringMatching(/The stop loop is open\. 2 ×, from 09:00 to 09:01/),
    expect.stringMatching(/A leaf did not reach its end in time\. at 09:00/),
  ]);
  await tab.locator('[data-fault=end-not-reached] summary').tap();
  await soon(() => tab.locator('[data-fault=end-not-reached]').innerText()).toContain(
    'Lock off, free the leaf, look at the battery; clear, then start.',
  );
  // Not signed in, or the operator: no trace.
  expect(await tab.locator('.trace').count()).toBe(0);
  await signIn(tab, INSTALLER);
  await soon(() => tab.locator('.trace').count()).toBe(2);

  await tab.locator('.trace', { hasText: 'bomb' }).tap();
  await soon(() => tab.locator('.workshop').innerText()).toContain('too large. It was not read.');
  await openTrace(tab);
  const rows = await tab.locator('.workshop tbody tr').allInnerTexts();
  expect(rows.filter((row) => row.includes('Decided')).length).toBeGreaterThanOrEqual(10);
  expect(rows.at(-2)).toMatch(/Fault stop-pressed/);
  const lanes = await tab.locator('.lane-row').allInnerTexts();
  for (const name of ['Mode', 'Animal', 'Contact frontShut', 'Output leafA.extend']) {
    expect(lanes).toContain(name);
  }
  expect(await tab.locator('.lane-row .state-ready').count()).toBeGreaterThan(8);

  // Scrubbing says what stood how; going closer shows a quarter, at the same moment.
  const place = tab.getByLabel('Moment');
  await place.fill('20000');
  await soon(() => tab.getByTestId('moment').innerText()).toMatch(/^09:00:20\.0 .*kg · Sorting/);
  const before = await tab.locator('.lane-row .state-ready').count();
  await tab.getByRole('button', { name: 'Closer' }).tap();
  await soon(() => tab.locator('.lane-row .state-ready').count()).toBeLessThan(before);
  expect(await tab.getByTestId('moment').innerText()).toMatch(/^09:00:20\.0/);
  await tab.getByRole('button', { name: 'Later' }).tap();
  await soon(async () => Number(await place.getAttribute('min'))).toBeGreaterThan(20_000);
  await tab.getByRole('button', { name: 'Whole' }).tap();
  await soon(() => tab.locator('.lane-row .state-ready').count()).toBe(before);
  await tab.getByRole('button', { name: 'All traces' }).tap();
  await soon(() => tab.locator('.trace').count()).toBe(2);
});
