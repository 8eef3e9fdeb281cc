/** A browser at phone size in front of the real page thread, with a daemon that does as it is told. */
import { createHash } from 'node:crypto';
import {
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  renameSync,
  rmSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { performance } from 'node:perf_hooks';
import { chromium, type Browser, type BrowserContext, type Page as Tab } from 'playwright-core';
import { build, type Plugin } from 'vite';
import { expect } from 'vitest';
import type { CommandAnswer, Snapshot, Who } from '../../src/adapters/page/messages.ts';
import { startPage, type Page } from '../../src/adapters/page/port.ts';
import { setPin } from '../../src/adapters/page/secrets.ts';
import type { SessionOrder, SessionShown } from '../../src/adapters/session.ts';
import type { Command } from '../../src/core/trace.ts';
import { layout, sessionShown, snapshot } from '../adapters/page/sample.ts';

export const OPERATOR = '246810';
export const PHONE = { width: 390, height: 844 };

const FLAGS = [
  '--headless',
  '--no-sandbox',
  '--disable-gpu',
  '--disable-quic',
  '--no-first-run',
  '--disable-background-networking',
  '--disable-component-update',
  '--disable-sync',
];

const ROOT = fileURLToPath(new URL('../..', import.meta.url));
/** Pages that were built before; emptied by whatever empties `node_modules`. */
const BUILT = join(ROOT, 'node_modules/.cache/fank-web');

/** A name for the page as its sources stand, so that each is built once and not by every journey. */
function pageHash(pseudo: boolean): string {
  const hash = createHash('sha256').update(String(pseudo));
  const under = (folder: string): string[] =>
    readdirSync(join(ROOT, folder), { recursive: true, encoding: 'utf8' })
      .filter((name) => /\.\w+$/.test(name))
      .sort()
      .map((name) => join(ROOT, folder, name));
  for (const file of [...under('src/web'), ...under('tests/web'), join(ROOT, 'package-lock.json')])
    hash.update(file).update(readFileSync(file));
  return hash.digest('hex').slice(0, 16);
}

/** The built page; with `pseudo`, speaking the language that nobody does. Its folder is for reading only. */
export async function buildPage(pseudo: boolean): Promise<string> {
  const dir = join(BUILT, pageHash(pseudo));
  if (existsSync(dir)) return dir;
  mkdirSync(BUILT, { recursive: true });
  const draft = mkdtempSync(`${dir}-`);
  await buildInto(draft, pseudo);
  try {
    renameSync(draft, dir);
  } catch {
    // Another journey was first; both built the same.
    rmSync(draft, { recursive: true });
  }
  return dir;
}

async function buildInto(outDir: string, pseudo: boolean): Promise<void> {
  const spoken = (name: string): string =>
    fileURLToPath(new URL(`../web/${name}`, import.meta.url));
  const others = {
    'words/en.ts': 'pseudo.ts',
    'words/plan.ts': 'pseudo-plan.ts',
    'words/book.ts': 'pseudo-book.ts',
    'words/fitting.ts': 'pseudo-book.ts',
    'words/workshop.ts': 'pseudo-book.ts',
    'words/check.ts': 'pseudo-book.ts',
    'words/session.ts': 'pseudo-book.ts',
    'words/card.ts': 'pseudo-book.ts',
    'words/cable.ts': 'pseudo-book.ts',
    'words/listen.ts': 'pseudo-book.ts',
  };
  const swap: Plugin = {
    name: 'pseudo',
    enforce: 'pre',
    resolveId: (source, importer) => {
      const found = Object.entries(others).find(([words]) => source.endsWith(words));
      const other = found === undefined ? null : spoken(found[1]);
      return pseudo && importer !== other ? other : null;
    },
  };
  await build({
    configFile: fileURLToPath(new URL('../../src/web/build/vite.ts', import.meta.url)),
    logLevel: 'error',
    plugins: [swap],
    build: { outDir },
  });
}

export async function openBrowser(): Promise<Browser> {
  return chromium.launch({ executablePath: '/usr/bin/chromium', args: FLAGS });
}

export function phone(browser: Browser, look: 'sun' | 'night' = 'sun'): Promise<BrowserContext> {
  return browser.newContext({
    viewport: PHONE,
    deviceScaleFactor: 2,
    hasTouch: true,
    isMobile: true,
    colorScheme: look === 'night' ? 'dark' : 'light',
  });
}

export interface Pen {
  page: Page;
  siteDir: string;
  url: string;
  /** `atMs` by the wall clock, which the browser has too. */
  commands: { command: Command; who: Who; atMs: number }[];
  orders: SessionOrder[];
  /** What the next commands are answered. */
  answer: CommandAnswer;
  /** From now on the race looks like this; published ten times a second until the next change. */
  show(change: Partial<Snapshot>): void;
  /** From now on the session stands like this. */
  tell(change: Partial<SessionShown>): void;
  /** The daemon stands still: nothing is published. */
  freeze(): void;
  /** As it was opened: stopped and empty, nothing given yet. Who is signed in stays so. */
  reset(): void;
  close(): Promise<void>;
}

/** Starts the page thread on a fresh site with known PINs. */
export async function openPen(
  webDir: string,
  given: { siteDir?: string; port?: number; bookModule?: string } = {},
): Promise<Pen> {
  const siteDir = given.siteDir ?? mkdtempSync(join(tmpdir(), 'fank-pen-'));
  if (given.siteDir === undefined) {
    await setPin(siteDir, 'operator', OPERATOR);
    await setPin(siteDir, 'installer', '13579135');
  }
  const page = await startPage({
    siteDir,
    host: '127.0.0.1',
    port: given.port ?? 0,
    version: 'test',
    webDir,
    zone: 'Europe/London',
    bookModule: given.bookModule ?? null,
  });
  let now = snapshot();
  let seq = 0;
  let frozen = false;
  const publish = (): void => {
    if (frozen) return;
    const t = Math.round(performance.now());
    if (page.wants()) page.publish({ ...now, seq: ++seq, t });
  };
  page.describe(layout);
  publish();
  const ticking = setInterval(publish, 20);
  const pen: Pen = {
    page,
    siteDir,
    url: `http://127.0.0.1:${String(page.port)}/`,
    commands: [],
    orders: [],
    answer: { ok: true },
    show(change) {
      now = snapshot(change);
      frozen = false;
    },
    tell(change) {
      page.session(sessionShown(change));
      now = { ...now, sessionRev: now.sessionRev + 1 };
    },
    freeze() {
      frozen = true;
    },
    reset() {
      pen.commands.length = 0;
      pen.orders.length = 0;
      pen.answer = { ok: true };
      page.describe(layout);
      pen.show({});
    },
    async close() {
      clearInterval(ticking);
      await page.close();
      if (given.siteDir === undefined) rmSync(siteDir, { recursive: true, force: true });
    },
  };
  page.onOrder((order) => {
    pen.orders.push(order);
    return Promise.resolve(pen.answer);
  });
  page.onCommand((command, who) => {
    pen.commands.push({ command, who, atMs: Date.now() });
    return Promise.resolve(pen.answer);
  });
  return pen;
}

/** Expects of `get` what follows, within a time that a busy machine keeps too. */
export function soon<T>(get: () => T, interval = 50): ReturnType<typeof expect.poll<T>> {
  return expect.poll(get, { timeout: 10_000, interval });
}

export async function signIn(tab: Tab, pin = OPERATOR): Promise<void> {
  await tab.getByRole('button', { name: 'Sign in' }).first().tap();
  // A journey of its own presses the keys; this is quicker.
  await tab.locator('form.sheet input').fill(pin);
  await tab.locator('form.sheet button[type=submit]').tap();
  await tab.locator('.device').waitFor();
}

/** Holds a button as a thumb does. */
export async function hold(tab: Tab, selector: string, ms: number): Promise<void> {
  const box = await tab.locator(selector).boundingBox();
  if (box === null) throw new Error(`${selector} is not on the page`);
  const touch = await tab.context().newCDPSession(tab);
  const point = { x: box.x + box.width / 2, y: box.y + box.height / 2 };
  await touch.send('Input.dispatchTouchEvent', { type: 'touchStart', touchPoints: [point] });
  await tab.waitForTimeout(ms);
  await touch.send('Input.dispatchTouchEvent', { type: 'touchEnd', touchPoints: [] });
}

/** An animal on the crate, weighed and decided. */
export const DECIDED: Partial<Snapshot> = {
  mode: 'running',
  weight: { kg: 41.3, ageMs: 60, u95Kg: 0.14, state: 'good' },
  animal: { number: 37, tag: '999000000001337', marks: [], held: null },
  decision: {
    lot: 'Fit',
    exit: 'ahead',
    rule: 'sure',
    reason: 'sure: 40 to 45 kg after 0.7 s',
    spray: null,
  },
  letGo: 'ahead',
  standsAt: 'ahead',
  head: [14, 19, 3],
  last: [
    { animal: 36, kg: 38.9, lot: 'Stores', exit: 'left', unsure: false, saved: false },
    { animal: 35, kg: 46.2, lot: 'Heavy', exit: 'right', unsure: false, saved: true },
    { animal: 34, kg: 40.1, lot: 'Fit', exit: 'ahead', unsure: true, saved: true },
  ],
};
