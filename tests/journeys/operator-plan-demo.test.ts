/** The plan changed from the page of the real service, on a simulated race: used, kept, refused while sorting. */
import { spawn, type ChildProcess } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import type { Browser, Page as Tab } from 'playwright-core';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { readDay } from '../../src/adapters/records/day-book.ts';
import { openForReading } from '../../src/adapters/records/reader.ts';
import { loadPlan, planVersion } from '../../src/config/plan.ts';
import { hold, openBrowser, phone, signIn, soon } from './pen.ts';

const MAIN = fileURLToPath(new URL('../../src/cli/main.ts', import.meta.url));

let browser: Browser;
let site = '';
let child: ChildProcess;
let said = '';

beforeEach(async () => {
  site = mkdtempSync(join(tmpdir(), 'fank-plan-demo-'));
  browser = await openBrowser();
  const args = ['demo', '--site', site, '--port', '0', '--animals', '30', '--seed', '4'];
  child = spawn(process.execPath, ['--import', 'tsx', MAIN, ...args, '--pace', '4']);
  said = '';
  child.stderr?.on('data', (data: Buffer) => (said += data.toString()));
  await expect.poll(() => said, { timeout: 60_000 }).toMatch(/PIN to operate: \d+/);
}, 90_000);
afterEach(async () => {
  await browser.close();
  const gone = new Promise((resolve) => child.once('exit', resolve));
  child.kill('SIGKILL');
  await gone;
  rmSync(site, { recursive: true, force: true });
}, 90_000);

const mode = (tab: Tab): Promise<string | null> =>
  tab.getByTestId('mode').getAttribute('data-mode');

async function go(tab: Tab, to: string): Promise<void> {
  await tab.getByRole('button', { name: 'Menu' }).tap();
  await tab.getByRole('button', { name: to, exact: true }).tap();
}

/** The version of the plan as its file stands. */
function versionOnCard(): string {
  const text = readFileSync(join(site, 'plans/by-weight.yaml'), 'utf8');
  const plan = loadPlan(text, 'by-weight', ['left', 'ahead', 'right']);
  if (!plan.ok) throw new Error('the plan on the card is broken');
  return planVersion(plan.value);
}

/** Versions of the plans that decided, in the order of letting go. */
function versionsInBook(): (string | null)[] {
  const db = openForReading(site);
  const rows = readDay(db, null)?.rows ?? [];
  db.close();
  return rows.map(({ plan }) => plan?.hash ?? null);
}

test('a cut is changed while stopped, decides from then on, and cannot be changed while sorting', async () => {
  const before = versionOnCard();
  const context = await phone(browser);
  const tab = await context.newPage();
  await tab.goto(`http://127.0.0.1:${/Page: http:\/\/[^:]+:(\d+)\//.exec(said)?.[1] ?? ''}/`);
  await soon(() => mode(tab)).toBe('stopped');
  await signIn(tab, /PIN to operate: (\d+)/.exec(said)?.[1] ?? '');
  await go(tab, 'Plan');
  await tab.locator('[data-lot=Stores]').getByLabel('Below, kg').fill('38.5');
  await tab.getByRole('button', { name: 'Save', exact: true }).tap();
  await soon(() => tab.getByTestId('plan-says').innerText()).toBe('Saved.');
  const changed = versionOnCard();
  expect(changed).not.toBe(before);
  await go(tab, 'Race');
  await soon(() => tab.locator('.lot[data-lot=Stores] .range').innerText()).toBe('under 38.5');
  await hold(tab, '.hold', 2300);
  await expect.poll(() => versionsInBook().length, { timeout: 60_000 }).toBeGreaterThan(2);
  expect(new Set(versionsInBook())).toEqual(new Set([changed]));
  await go(tab, 'Plan');
  await tab.locator('[data-lot=Stores]').getByLabel('Below, kg').fill('39');
  await tab.getByRole('button', { name: 'Save', exact: true }).tap();
  await soon(() => tab.getByTestId('notice').innerText()).toContain('Stop first');
  expect(versionOnCard()).toBe(changed);
}, 240_000);
