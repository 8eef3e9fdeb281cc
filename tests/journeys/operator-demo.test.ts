/** The operator's journey with the real daemon on a simulated race: press start and see it work. */
import { spawn, type ChildProcess } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import type { Browser, BrowserContext, Page as Tab } from 'playwright-core';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { hold, openBrowser, phone, signIn, soon } from './pen.ts';

const MAIN = fileURLToPath(new URL('../../src/cli/main.ts', import.meta.url));

interface Demo {
  child: ChildProcess;
  url: string;
  pin: string;
}

let browser: Browser;
let context: BrowserContext;
let site: string;
let demo: Demo;

/** Starts the demo; the PIN is said only by the one that makes it. */
async function startDemo(port: number): Promise<Demo> {
  const args = ['demo', '--site', site, '--port', String(port), '--animals', '40', '--seed', '3'];
  const child = spawn(process.execPath, ['--import', 'tsx', MAIN, ...args, '--pace', '2']);
  let said = '';
  child.stderr.on('data', (data: Buffer) => (said += data.toString()));
  await expect.poll(() => said, { timeout: 60_000 }).toMatch(/Page: .*:\d+\/\n[^]*▀\n/);
  const found = /Page: http:\/\/[^:]+:(\d+)\//.exec(said);
  await soon(() => port !== 0 || said.includes('PIN to operate')).toBe(true);
  const pin = /PIN to operate: (\d+)/.exec(said)?.[1] ?? '';
  return { child, url: `http://127.0.0.1:${found?.[1] ?? ''}/`, pin };
}

async function endDemo(): Promise<void> {
  if (demo.child.exitCode !== null || demo.child.signalCode !== null) return;
  const gone = new Promise((resolve) => demo.child.once('exit', resolve));
  demo.child.kill('SIGKILL');
  await gone;
}

beforeEach(async () => {
  site = mkdtempSync(join(tmpdir(), 'fank-journey-'));
  browser = await openBrowser();
  context = await phone(browser);
  demo = await startDemo(0);
}, 90_000);
afterEach(async () => {
  await browser.close();
  await endDemo();
  rmSync(site, { recursive: true, force: true });
}, 90_000);

const says = (tab: Tab, id: string): Promise<string> => tab.getByTestId(id).innerText();
const mode = (tab: Tab): Promise<string | null> =>
  tab.getByTestId('mode').getAttribute('data-mode');

/** Head in all lots, as the page says. */
async function head(tab: Tab): Promise<number> {
  const texts = await tab.locator('[data-testid^=head-]').allInnerTexts();
  return texts.reduce((sum, text) => sum + Number.parseInt(text, 10), 0);
}

test(
  'sign in, start, animals sorted, one by hand, pause, on again, stop, daemon killed and back',
  { timeout: 240_000 },
  async () => {
    const tab = await context.newPage();
    await tab.goto(demo.url);
    await soon(() => mode(tab)).toBe('stopped');
    await signIn(tab, demo.pin);
    await hold(tab, '.hold', 2300);
    await soon(() => mode(tab)).toMatch(/homing|running/);
    expect(await says(tab, 'control')).toBe('This phone has the controls');
    const moved = tab.locator('.leaf.moving').first();
    await moved.waitFor({ state: 'attached', timeout: 20_000 });
    await tab.locator('.going.letgo').waitFor({ timeout: 30_000 });
    await expect.poll(() => head(tab), { timeout: 30_000 }).toBeGreaterThanOrEqual(2);

    await sendOneByHand(tab);

    await tab.getByRole('button', { name: 'Pause' }).tap();
    await soon(() => mode(tab)).toBe('paused');
    await hold(tab, '.hold', 2300);
    await soon(() => mode(tab)).toMatch(/homing|running/);
    const counted = await head(tab);
    await expect.poll(() => head(tab), { timeout: 30_000 }).toBeGreaterThan(counted);
    await tab.locator('.stop').tap();
    await soon(() => mode(tab)).toBe('stopped');
    await soon(() => tab.locator('.leaf.moving').count()).toBe(0);

    await endDemo();
    await soon(() => says(tab, 'banner')).toContain('No word from Fank');
    demo = await startDemo(Number(new URL(demo.url).port));
    await soon(() => mode(tab)).toBe('stopped');
    expect(await tab.locator('.device').innerText()).toBe('Phone 1, operator');
  },
);

/** Presses one exit for whoever is on the crate, until the page says that it goes there by hand. */
async function sendOneByHand(tab: Tab): Promise<void> {
  await expect
    .poll(
      async () => {
        if ((await says(tab, 'who')) === 'Nobody on') return '';
        await tab.locator('[data-exit=left] .hand').tap();
        await tab.waitForTimeout(150);
        return says(tab, 'why');
      },
      { timeout: 40_000, interval: 100 },
    )
    .toMatch(/hand/);
  expect(await tab.locator('.lane.wanted').getAttribute('data-exit')).toBe('left');
}
