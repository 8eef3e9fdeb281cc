/// <reference lib="dom" />
/** The yard card as it comes out of a printer. */
import { mkdirSync } from 'node:fs';
import { join } from 'node:path';
import type { Browser, Page as Tab } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import type { Layout } from '../../src/adapters/page/messages.ts';
import { layout } from '../adapters/page/sample.ts';
import { buildPage, openBrowser, openPen, phone, soon } from './pen.ts';

/** Where the prints are kept, for looking at. */
const SHOTS = process.env['FANK_SHOTS'];
/** What A4 leaves within margins of 10 mm, px. */
const SHEET = { width: (190 / 25.4) * 96, height: (277 / 25.4) * 96 };

let browser: Browser;
beforeAll(async () => {
  browser = await openBrowser();
}, 90_000);
afterAll(async () => {
  await browser.close();
}, 90_000);

/** The largest gate that there is, with names as long as people give them. */
const LONG: Layout = {
  ...layout,
  id: 2,
  exits: ['left', 'outer-left', 'ahead', 'outer-right', 'right'].map((exit, at) => ({
    ...{ exit, flashes: at + 1, said: 'the road side by the old byre' },
    ends: { leafA: at < 2 ? 'extended' : 'retracted', leafB: at > 2 ? 'extended' : 'retracted' },
  })),
  lots: [...layout.lots, ...layout.lots.slice(0, 2)].map((lot, at) => ({
    ...lot,
    name: `${lot.name} to be kept for the autumn ${String(at)}`.slice(0, 40),
    exit: ['left', 'outer-left', 'ahead', 'outer-right', 'right'][at] ?? '',
  })),
};

/** How many sheets a print takes. */
function sheets(pdf: Buffer): number {
  return [...pdf.toString('latin1').matchAll(/\/Type\s*\/Page\b/g)].length;
}

async function print(tab: Tab, name: string): Promise<number> {
  const pdf = await tab.pdf({ preferCSSPageSize: true });
  if (SHOTS !== undefined) {
    mkdirSync(SHOTS, { recursive: true });
    await tab.pdf({ preferCSSPageSize: true, path: join(SHOTS, `${name}.pdf`) });
  }
  return sheets(pdf);
}

const STILL = { at: 'retracted', moving: null, assumed: true } as const;

test.each([
  ['English', 'night', false],
  ['long words from right to left', 'sun', true],
] as const)('the yard card is one sheet: %s', async (_, look, pseudo) => {
  const pen = await openPen(await buildPage(pseudo));
  const context = await phone(browser, look);
  try {
    const tab = await context.newPage();
    await tab.goto(pen.url);
    // By way of another place, whose style must not reach the card.
    for (const place of ['plan', 'card']) {
      await tab.locator('header button[aria-expanded]').tap();
      await tab.locator(`[data-place=${place}]`).tap();
      await tab.locator(place === 'card' ? 'main.yard-card' : 'main.plan').waitFor();
    }
    for (const given of [layout, LONG]) {
      pen.page.describe(given);
      pen.show({ layout: given.id, leaves: given.leaves.map(() => STILL) });
      await tab.locator('.yard-card .qr').waitFor();
      await soon(() => tab.locator('.pattern-line').count()).toBe(given.exits.length + 8);
      const name = `card-${pseudo ? 'pseudo' : 'english'}-${String(given.exits.length)}`;
      expect(await print(tab, name), name).toBe(1);
      await onSheet(tab);
    }
  } finally {
    await context.close();
    await pen.close();
  }
});

/** Everything that somebody has to find lies on the sheet, and nothing else is on it. */
async function onSheet(tab: Tab): Promise<void> {
  const before = tab.viewportSize();
  await tab.setViewportSize({ width: Math.floor(SHEET.width), height: Math.floor(SHEET.height) });
  await tab.emulateMedia({ media: 'print' });
  for (const seen of ['.stop-card svg', '.pin-card svg', '.gate-card', '.qr', '.law']) {
    const box = await tab.locator(seen).boundingBox();
    expect((box?.y ?? 0) + (box?.height ?? 1e9), seen).toBeLessThanOrEqual(SHEET.height);
  }
  for (const hidden of ['header', '.dock', '.yard-card button'])
    expect(await tab.locator(hidden).first().isVisible(), hidden).toBe(false);
  const code = await tab.locator('.qr').boundingBox();
  expect(code?.width, 'a code that a camera finds').toBeGreaterThan(150);
  await tab.emulateMedia({ media: null });
  if (before !== null) await tab.setViewportSize(before);
}
