/** The place Session: carrying on, one tap for each correction, and what is given today. */
import type { Browser, Page as Tab } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { axe, tooSmallOrWide } from './looks.ts';
import { buildPage, openBrowser, openPen, OPERATOR, phone, signIn, soon, type Pen } from './pen.ts';

let browser: Browser;
let pen: Pen;

beforeAll(async () => {
  browser = await openBrowser();
}, 90_000);
afterAll(async () => {
  await browser.close();
}, 90_000);

async function toSession(tab: Tab): Promise<void> {
  await tab.locator('header button[aria-expanded]').tap();
  await tab.locator('[data-place=session]').tap();
  await tab.locator('.session').waitFor();
}

const AGAIN = [{ tag: '999000000001337', animals: [2, 5] }];

test('an operator carries on, opens a pen, puts an animal right, and sets what is given', async () => {
  pen = await openPen(await buildPage(false));
  const tab = await (await phone(browser)).newPage();
  try {
    pen.show({ asks: ['carry-on'] });
    pen.tell({ choose: true });
    await tab.goto(pen.url);
    await signIn(tab, OPERATOR);
    await tab.getByTestId('session-asks').getByRole('button', { name: 'Carry on' }).tap();
    await soon(() => pen.orders).toEqual([{ do: 'carry-on' }]);
    pen.tell({ again: AGAIN });
    await toSession(tab);
    await tab.getByTestId('came-again').getByRole('button', { name: 'misread' }).tap();
    await tab.locator('fieldset', { hasText: 'New pen' }).getByText('Left').tap();
    await tab.locator('[data-pen="ahead 2"]').getByText('Run this pen again').tap();
    await tab.locator('[data-animal="1"] .wide').tap();
    await tab.locator('[data-animal="1"]').getByText('Pulled out').tap();
    await tab.locator('[data-animal="1"]').getByRole('button', { name: 'Fit' }).tap();
    await soon(() => pen.orders.slice(1)).toEqual([
      { do: 'came-again', animal: 5, same: false },
      { do: 'new-pen', exit: 'left' },
      { do: 'run-again', pen: 'ahead 2' },
      { do: 'pulled-out', animal: 1 },
      { do: 'went', animal: 1, lot: 'Fit' },
    ]);
    await tab.getByLabel('Field', { exact: true }).fill('Park');
    await tab.getByRole('button', { name: 'Wet' }).tap();
    await tab.getByRole('button', { name: 'Keep this' }).tap();
    await soon(() => pen.orders.at(-1)).toMatchObject({
      do: 'describe',
      words: { farm: 'Upper', field: 'Park', fleece: 'wet', hoursOffFeed: 12 },
    });
    await giveToday(tab);
  } finally {
    await pen.close();
  }
}, 120_000);

async function giveToday(tab: Tab): Promise<void> {
  await tab.getByRole('button', { name: 'Give this' }).tap();
  await soon(() => tab.locator('.said').innerText()).toContain('are needed');
  await tab.getByLabel('Product').fill('Drench A');
  await tab.getByLabel('ml per kg').fill('0,2');
  await tab.getByLabel('Steps of the gun').fill('0.5');
  await tab.getByLabel('Withdrawal').fill('14');
  await tab.getByRole('button', { name: 'Give this' }).tap();
  await soon(() => pen.orders.at(-1)).toMatchObject({
    do: 'given',
    given: { product: 'Drench A', mlPerKg: 0.2, stepMl: 0.5, days: 14, use: 'label' },
  });
  const what = { product: 'Drench A', batch: 'B7', expiry: '2027-01-31', use: 'label' } as const;
  pen.tell({
    given: {
      what: { ...what, mlPerKg: 0.2, stepMl: 0.5, days: 14 },
      doses: 2,
      ml: 16.5,
      unknown: 1,
    },
  });
  await soon(() => tab.getByTestId('used').innerText()).toBe('16.5 ml used in 2 doses');
  expect(await tab.getByText('count as treated').count()).toBe(1);
}

test.each(['sun', 'night'] as const)(
  'is read and hit in any words: %s',
  async (look) => {
    pen = await openPen(await buildPage(look === 'night'));
    const tab = await (await phone(browser, look)).newPage();
    try {
      pen.show({});
      pen.tell({ choose: true, again: AGAIN, clock: { set: false, local: '2026-01-01T00:04:00' } });
      await tab.goto(pen.url);
      await toSession(tab);
      await tab.locator('[data-animal="1"] .wide').tap();
      expect((await axe(tab)).wrong).toEqual([]);
      expect(await tooSmallOrWide(tab)).toEqual([]);
      const shots = process.env['FANK_SHOTS'];
      if (shots !== undefined)
        await tab.screenshot({ path: `${shots}/session-${look}.png`, fullPage: true });
      const [height, step] = [await tab.locator('.scroll').evaluate((e) => e.scrollHeight), 700];
      for (let y = 0; shots !== undefined && y < height; y += step) {
        await tab.locator('.scroll').evaluate((e, to) => (e.scrollTop = to), y);
        await tab.screenshot({ path: `${shots}/session-${look}-${String(y)}.png` });
      }
    } finally {
      await pen.close();
    }
  },
  120_000,
);
