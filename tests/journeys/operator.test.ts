/** The operator's journey in a real browser at phone size: sign in, start, sort, by hand, pause, stop. */
import type { Browser, BrowserContext, Page as Tab } from 'playwright-core';
import { afterAll, afterEach, beforeAll, beforeEach, expect, test } from 'vitest';
import {
  buildPage,
  DECIDED,
  hold,
  openBrowser,
  openPen,
  phone,
  signIn,
  soon,
  type Pen,
} from './pen.ts';

let browser: Browser;
let pen: Pen;
let context: BrowserContext;
let tab: Tab;
/** Everything that the browser complained about. */
let complaints: string[];

// One service and one phone for all: each journey finds the race stopped and the page just loaded.
beforeAll(async () => {
  browser = await openBrowser();
  pen = await openPen(await buildPage(false));
  context = await phone(browser);
  tab = await context.newPage();
  listen(tab);
}, 90_000);
afterAll(async () => {
  await browser.close();
  await pen.close();
}, 90_000);
beforeEach(async () => {
  pen.reset();
  complaints = [];
  await load(tab);
});
afterEach(() => {
  expect(complaints).toEqual([]);
});

function listen(opened: Tab): void {
  opened.on('pageerror', (error) => complaints.push(error.message));
  opened.on('console', (message) => {
    // A refusal is an answer like any other; the browser writes it down as an error.
    if (message.type() === 'error' && !message.text().includes('status of 4')) {
      complaints.push(message.text());
    }
  });
}

async function load(on: Tab): Promise<void> {
  await on.goto(pen.url);
  await soon(() => says(on, 'mode')).toContain('Stopped');
}

async function signedIn(): Promise<void> {
  if ((await tab.locator('.device').count()) === 0) await signIn(tab);
}

const says = (on: Tab, id: string): Promise<string> => on.getByTestId(id).innerText();
const given = (): unknown[] => pen.commands.map(({ command }) => command);

test('stop: one tap, no PIN, the same place in every state', async () => {
  const places = new Set<string>();
  for (const state of [{}, DECIDED, { ...DECIDED, asks: ['lane', 'unsure'] as const }]) {
    pen.show({ ...state, asks: 'asks' in state ? [...state.asks] : [] });
    await tab.waitForTimeout(300);
    const box = await tab.locator('.stop').boundingBox();
    places.add(JSON.stringify(box));
  }
  expect(places.size).toBe(1);
  await tab.locator('.stop').tap();
  await soon(() => pen.commands).toMatchObject([
    { command: { do: 'stop' }, who: { role: 'anyone', device: null } },
  ]);
  await soon(() => says(tab, 'stop-says')).toBe('Stop taken.');
});

test('stop that nobody takes says so loudly and is tried again', async () => {
  await context.route('**/api/stop', (route) => route.abort());
  await tab.locator('.stop').tap();
  await soon(() => says(tab, 'stop-says')).toContain('NOT TAKEN');
  complaints.length = 0;
  await context.unroute('**/api/stop');
  await soon(() => says(tab, 'stop-says')).toBe('Stop taken.');
  complaints.length = 0;
});

test('a wrong PIN is said, the right one opens, and loading sends nothing', async () => {
  await tab.getByRole('button', { name: 'Sign in' }).tap();
  for (const digit of '111111') await tab.getByRole('button', { name: digit, exact: true }).tap();
  await tab.locator('form.sheet button[type=submit]').tap();
  await soon(() => says(tab, 'pin-says')).toContain('not right');
  for (const digit of '246810') await tab.getByRole('button', { name: digit, exact: true }).tap();
  await tab.locator('form.sheet button[type=submit]').tap();
  await soon(() => tab.locator('.device').innerText()).toBe('Phone 1, operator');
  await tab.reload();
  await soon(() => tab.locator('.device').innerText()).toBe('Phone 1, operator');
  expect(pen.commands).toEqual([]);
});

test('start takes two seconds of holding: start, then the word that nobody is in the gate', async () => {
  await signedIn();
  await tab.locator('.hold').tap();
  await hold(tab, '.hold', 1500);
  await tab.waitForTimeout(700);
  expect(given()).toEqual([]);
  await hold(tab, '.hold', 2300);
  await soon(given).toEqual([{ do: 'start' }, { do: 'confirm', what: 'lane' }]);
});

test('a second finger and a slipping one begin the holding anew', async () => {
  await signedIn();
  const box = await tab.locator('.hold').boundingBox();
  if (box === null) throw new Error('no start button');
  const touch = await context.newCDPSession(tab);
  const on = { x: box.x + 40, y: box.y + 30, id: 1 };
  const also = { x: box.x + 120, y: box.y + 30, id: 2 };
  await touch.send('Input.dispatchTouchEvent', { type: 'touchStart', touchPoints: [on] });
  await tab.waitForTimeout(600);
  await touch.send('Input.dispatchTouchEvent', { type: 'touchStart', touchPoints: [on, also] });
  await tab.waitForTimeout(2200);
  await touch.send('Input.dispatchTouchEvent', { type: 'touchEnd', touchPoints: [] });
  expect(given()).toEqual([]);
});

test('an animal: its weight, lot and exit are shown, the leaf moves, then let go', async () => {
  await signedIn();
  pen.show({
    ...DECIDED,
    letGo: null,
    standsAt: null,
    weight: { kg: 38.24, ageMs: 30, u95Kg: 0.3, state: 'good' },
    decision: { lot: 'Stores', exit: 'left', rule: 'sure', reason: 'under 40 kg', spray: null },
    leaves: [
      { at: 'unknown', moving: 'extend', assumed: true },
      { at: 'retracted', moving: null, assumed: true },
    ],
  });
  await soon(() => says(tab, 'kg')).toBe('38.2');
  expect(await says(tab, 'state')).toBe('Good weight');
  expect(await says(tab, 'going')).toContain('Goes left');
  expect(await tab.locator('[data-leaf=leafA]').getAttribute('data-at')).toBe('moving');
  expect(await says(tab, 'gate')).toBe('Gate is moving');
  expect(await tab.locator('.lane.wanted').getAttribute('data-exit')).toBe('left');
  pen.show({ ...DECIDED, standsAt: 'left', letGo: 'left' });
  await soon(() => says(tab, 'going')).toBe('Let go: Left');
  expect(await says(tab, 'who')).toContain('01337');
});

test('this one by hand is bound to the animal that is shown', async () => {
  await signedIn();
  pen.show(DECIDED);
  await soon(() => says(tab, 'kg')).toBe('41.3');
  await tab.locator('[data-exit=right] .hand').tap();
  await soon(given).toEqual([{ do: 'exit', exit: 'right', animal: 37 }]);
  pen.answer = { ok: false, reason: 'Animal 37 has gone.' };
  await tab.locator('[data-exit=left] .hand').tap();
  await soon(() => says(tab, 'notice')).toBe('Animal 37 has gone.');
});

test('pause, and what is asked is answered with one tap', async () => {
  await signedIn();
  pen.show({ ...DECIDED, asks: ['lane', 'crate'] });
  await tab.getByRole('button', { name: 'Pause' }).tap();
  await tab.getByRole('button', { name: /nobody is in the gate/ }).tap();
  await tab.getByRole('button', { name: /crate is empty/ }).tap();
  await soon(given).toEqual([
    { do: 'pause' },
    { do: 'confirm', what: 'lane' },
    { do: 'confirm', what: 'crate' },
  ]);
});

test('two phones: one has the controls, the other sees it and can take them over', async () => {
  await signedIn();
  const other = await phone(browser);
  const second = await other.newPage();
  listen(second);
  await load(second);
  await signIn(second);
  pen.show(DECIDED);
  await tab.locator('[data-exit=left] .hand').tap();
  await soon(() => says(tab, 'control')).toBe('This phone has the controls');
  await soon(() => says(second, 'control')).toBe('Phone 1 has the controls');
  await second.locator('[data-exit=right] .hand').tap();
  await soon(() => says(second, 'notice')).toBe('Another phone has the controls.');
  await second.getByRole('button', { name: 'Pause' }).tap();
  await second.getByRole('button', { name: 'Take over' }).tap();
  await soon(() => says(tab, 'control')).toBe('Phone 2 has the controls');
  await second.locator('[data-exit=right] .hand').tap();
  await soon(given).toEqual([
    { do: 'exit', exit: 'left', animal: 37 },
    { do: 'pause' },
    { do: 'exit', exit: 'right', animal: 37 },
  ]);
  await other.close();
});
