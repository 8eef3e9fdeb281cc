/// <reference lib="dom" />
/** Calls with one-tap answers, the alarm of an animal held long, the rain lock, the yard's own words. */
import type { Browser, Page as Tab } from 'playwright-core';
import { afterAll, beforeAll, beforeEach, expect, test } from 'vitest';
import { layout } from '../adapters/page/sample.ts';
import { buildPage, DECIDED, hold, openBrowser, openPen, phone, signIn, soon } from './pen.ts';
import type { Pen } from './pen.ts';

let browser: Browser;
let pen: Pen;
let tab: Tab;

beforeAll(async () => {
  browser = await openBrowser();
  pen = await openPen(await buildPage(false));
  tab = await (await phone(browser)).newPage();
  await tab.goto(pen.url);
  await signIn(tab);
}, 90_000);
afterAll(async () => {
  await browser.close();
  await pen.close();
}, 90_000);
beforeEach(async () => {
  pen.reset();
  await tab.reload();
  await tab.locator('.device').waitFor();
});

const given = (): unknown[] => pen.commands.map(({ command }) => command);
const UNSURE = {
  ...DECIDED,
  letGo: null,
  standsAt: null,
  weight: { kg: 38.2, ageMs: 0, u95Kg: 1.2, state: 'not-sure' as const },
  decision: { lot: null, exit: null, rule: 'unsure' as const, reason: 'it leans', spray: null },
  asks: ['unsure' as const],
};

test('a not-sure call is answered with one tap, bound to the animal that is called for', async () => {
  const exits = layout.exits.map((one) =>
    one.exit === 'left' ? { ...one, said: 'road side' } : one,
  );
  pen.page.describe({ ...layout, id: 2, exits });
  pen.show({ ...UNSURE, layout: 2 });
  await soon(() => tab.locator('.answers button').allInnerTexts()).toEqual([
    expect.stringMatching(/Left\s+road side/),
    'Straight on',
    'Right',
  ]);
  await tab.locator('.answers button').first().tap();
  await soon(given).toEqual([{ do: 'exit', exit: 'left', animal: 37 }]);
  pen.show({ ...DECIDED, layout: 2, standsAt: 'left', letGo: 'left' });
  await soon(() => tab.getByTestId('going').innerText()).toBe('Let go: Left, road side');
  expect(await tab.locator('.answers').count()).toBe(0);
});

test('an animal held for a minute is an alarm, with where to send it', async () => {
  await tab.evaluate(() => {
    const shaken: unknown[] = [];
    navigator.vibrate = (pattern) => shaken.push(pattern) > 0;
    Object.assign(window, { shaken });
  });
  pen.show({ ...DECIDED, letGo: null, faults: [{ name: 'held-long', detail: null }] });
  await soon(() => tab.getByTestId('held-alarm').innerText()).toContain('held for a minute');
  await soon(() =>
    tab.evaluate(() => (window as unknown as { shaken: unknown[] }).shaken.length),
  ).toBe(1);
  await tab.locator('.answers button').nth(2).tap();
  await soon(given).toEqual([{ do: 'exit', exit: 'right', animal: 37 }]);
});

test('under the rain lock only stop and answers are live, and a word that one has looked is held', async () => {
  pen.show({ ...UNSURE, asks: ['unsure', 'lane'] });
  await tab.getByRole('button', { name: 'Menu' }).tap();
  await tab.getByRole('button', { name: /^Rain lock/ }).tap();
  await soon(() => tab.locator('.dock').innerText()).toContain('Rain lock is on');
  const drops = ['[data-exit=left] .hand', 'header button', '.pause'];
  for (const drop of drops) await tab.locator(drop).first().tap({ force: true });
  await tab.getByRole('button', { name: /nobody is in the gate/ }).tap();
  await tab.locator('.hold', { hasText: 'Rain lock is on' }).tap();
  expect(await tab.getByRole('navigation').count()).toBe(0);
  expect(given()).toEqual([]);
  await tab.locator('.answers button').nth(1).tap();
  await soon(given).toEqual([{ do: 'exit', exit: 'ahead', animal: 37 }]);
  await hold(tab, '.asks .hold', 1300);
  await tab.locator('.stop').tap();
  await soon(given).toEqual([
    { do: 'exit', exit: 'ahead', animal: 37 },
    { do: 'confirm', what: 'lane' },
    { do: 'stop' },
  ]);
  await hold(tab, '.dock > .hold', 2400);
  await soon(() => tab.locator('.dock').innerText()).not.toContain('Rain lock');
  // Letting go presses nothing that has come to lie under the finger; a press after it does.
  await tab.waitForTimeout(600);
  expect(given()).toHaveLength(3);
  await tab.locator('[data-exit=left] .hand').tap();
  await soon(() => given().slice(3)).toEqual([{ do: 'exit', exit: 'left', animal: 37 }]);
});

test('practice without animals is played on this phone alone, and ends when the real race moves', async () => {
  await tab.getByRole('button', { name: 'Menu' }).tap();
  await tab.getByRole('button', { name: /^Practise without animals/ }).tap();
  await soon(() => tab.getByTestId('mode').innerText()).toContain('Practice');
  await hold(tab, '.dock > .hold', 2300);
  await soon(() => tab.getByTestId('who').innerText()).toContain('Animal 1');
  await soon(() => tab.getByTestId('going').innerText()).toContain('Let go');
  expect(pen.commands).toEqual([]);
  pen.show({ mode: 'homing' });
  await soon(() => tab.getByTestId('mode').innerText()).toContain('Finding the gate');
  expect(await tab.getByTestId('practising').count()).toBe(0);
  pen.show({});
  await tab.getByRole('button', { name: 'Menu' }).tap();
  await tab.getByRole('button', { name: /^Practise without animals/ }).tap();
  await tab.getByTestId('practising').waitFor();
  await tab.locator('.stop').tap();
  await soon(given).toEqual([{ do: 'stop' }]);
  await soon(() => tab.getByTestId('practising').count()).toBe(0);
});
