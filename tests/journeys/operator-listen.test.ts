/// <reference lib="dom" />
/** The installer finds out on the page what the weigh head sends, on its own port. */
import { mkdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Browser, Page as Tab } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { runSamples } from '../../src/config/frames/samples.ts';
import { readProfile } from '../../src/config/profiles.ts';
import { openFitBench, FITTER, type FitBench } from './fit-bench.ts';
import { Installer } from './installer.ts';
import { axe, tooSmallOrWide } from './looks.ts';
import { buildPage, openBrowser, phone, signIn, soon } from './pen.ts';

/** Screenshots go there, where it is set. */
const SHOTS = process.env['FANK_SHOTS'];

let browser: Browser;
let bench: FitBench;

beforeAll(async () => {
  const webDir = await buildPage(false);
  browser = await openBrowser();
  bench = await openFitBench(webDir);
}, 90_000);
afterAll(async () => {
  await browser.close();
  await bench.close();
}, 90_000);

async function arrive(look: 'sun' | 'night'): Promise<Tab> {
  const tab = await (await phone(browser, look)).newPage();
  await tab.goto(bench.url);
  await signIn(tab, FITTER);
  await tab.getByRole('button', { name: 'Menu' }).tap();
  await tab.getByRole('button', { name: 'Fitting', exact: true }).tap();
  await new Installer(tab, bench).open('head');
  await tab.getByText('Find out what the weigh head sends').tap();
  return tab;
}

async function looksRight(tab: Tab, name: string): Promise<void> {
  if (SHOTS !== undefined) {
    mkdirSync(SHOTS, { recursive: true });
    await tab.screenshot({ path: join(SHOTS, `${name}.png`) });
    await tab.getByTestId('listen').screenshot({ path: join(SHOTS, `${name}-whole.png`) });
  }
  expect((await axe(tab)).wrong).toEqual([]);
  expect(await tooSmallOrWide(tab)).toEqual([]);
}

/** When the service's own weigh head gave its latest reading, ms of the trace. */
function readAt(): number {
  return bench.daemon.loop.last?.weighing.reading?.at ?? -1;
}

test(
  'listening borrows the port, finds the format, confirms it, writes a profile and gives the port back',
  { timeout: 240_000 },
  async () => {
    const tab = await arrive('sun');
    await soon(() => readAt()).toBeGreaterThan(0);
    await tab.getByRole('button', { name: 'Listen', exact: true }).tap();
    const reads = tab.getByTestId('listen-reads');
    await soon(() => reads.textContent()).toBe('0 kg');
    // The service hears nothing meanwhile.
    const silentSince = readAt();
    bench.kg = 41.5;
    await soon(() => reads.textContent()).toBe('41.5 kg');
    const says = tab.getByTestId('listen-says');
    await soon(() => says.textContent()).toContain('Sure of everything.');
    const known = tab.getByLabel('Known weight on the crate, kg');
    // Of a weight that does not come it is no longer sure, and what it found may be written all the same.
    await known.fill('50');
    await tab.getByRole('button', { name: 'Confirm with it' }).tap();
    await tab.getByRole('button', { name: 'Write it although not sure' }).waitFor();
    await known.fill('41,5');
    await tab.getByRole('button', { name: 'Confirm with it' }).tap();
    await tab.getByText('Confirmed with 41.5 kg.').waitFor();
    await looksRight(tab, 'listen-sun');
    expect(readAt()).toBe(silentSince);

    await tab.getByRole('button', { name: 'Write the profile' }).tap();
    await tab.getByText(/^Written: profiles\/my-head\.yaml\./).waitFor();
    const file = join(bench.siteDir, 'profiles', 'my-head.yaml');
    const read = readProfile('scale', readFileSync(file, 'utf8'), file);
    expect(read.ok && runSamples(read.value).every(({ expected }) => expected === null)).toBe(true);
    await tab.getByRole('button', { name: 'Write the profile' }).tap();
    await tab.getByText('There is a profile my-head already: choose another name.').waitFor();

    await tab.getByRole('button', { name: 'Stop listening' }).tap();
    await soon(() => readAt()).toBeGreaterThan(silentSince);

    const night = await arrive('night');
    await night.getByRole('button', { name: 'Listen again' }).waitFor();
    await looksRight(night, 'listen-night');
  },
);
