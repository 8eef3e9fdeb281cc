/** The page's server without a thread: time and the daemon's answers are the test's. */
import { mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach } from 'vitest';
import type { InjectOptions, LightMyRequestResponse as Response } from 'fastify';
import { buildApp, type PageApp } from '../../../src/adapters/page/app.ts';
import { lateBook } from '../../../src/adapters/page/book.ts';
import type { SessionOrder } from '../../../src/adapters/session.ts';
import { BOOK_MODULE } from '../../../src/adapters/records/port.ts';
import type { CommandAnswer, Who } from '../../../src/adapters/page/messages.ts';
import { openSecrets, secretsPath, setPin } from '../../../src/adapters/page/secrets.ts';
import { openSessions } from '../../../src/adapters/page/sessions.ts';
import type { SiteChange } from '../../../src/config/site-change.ts';
import type { Command } from '../../../src/core/trace.ts';

export const OPERATOR = '246810';
export const INSTALLER = '13579135';

export interface Served {
  page: PageApp;
  siteDir: string;
  /** Both clocks, moved by the test. */
  time: { wall: number; mono: number };
  commands: { command: Command; who: Who }[];
  orders: { order: SessionOrder; who: Who }[];
  changes: SiteChange[];
  /** What the daemon does with a change before it answers. */
  take: (change: SiteChange) => Promise<void>;
  /** What the daemon says next; null: nothing at all. */
  answer: CommandAnswer | null;
  inject(options: InjectOptions): Promise<Response>;
  /** The cookies of a device that has just signed in. */
  signIn(pin: string): Promise<Record<string, string>>;
}

const opened: (() => Promise<void>)[] = [];
afterEach(async () => {
  for (const close of opened.splice(0)) await close();
});

export function cookiesOf(response: Response): Record<string, string> {
  return Object.fromEntries(response.cookies.map((one) => [one.name, one.value]));
}

/** Hashing takes its time by design, so the file is made once and copied. */
let made: string | undefined;
async function makeSecrets(siteDir: string): Promise<string> {
  await setPin(siteDir, 'operator', OPERATOR);
  await setPin(siteDir, 'installer', INSTALLER);
  return readFileSync(secretsPath(siteDir), 'utf8');
}

export async function newSite(): Promise<string> {
  const siteDir = mkdtempSync(join(tmpdir(), 'fank-page-'));
  opened.push(() => {
    rmSync(siteDir, { recursive: true, force: true });
    return Promise.resolve();
  });
  made ??= await makeSecrets(siteDir);
  writeFileSync(secretsPath(siteDir), made, { mode: 0o600 });
  return siteDir;
}

export async function serve(
  given: { siteDir?: string; openLooking?: boolean } = {},
): Promise<Served> {
  const siteDir = given.siteDir ?? (await newSite());
  const webDir = join(siteDir, 'web');
  mkdirSync(join(webDir, 'assets'), { recursive: true });
  writeFileSync(join(webDir, 'index.html'), '<!doctype html><title>Fank</title>');
  writeFileSync(join(webDir, 'assets', 'app-abc123.js'), 'export {};');
  const { secrets } = await openSecrets(siteDir);
  const served: Served = {
    page: undefined as unknown as PageApp,
    siteDir,
    time: { wall: 1_790_000_000_000, mono: 1000 },
    commands: [],
    orders: [],
    changes: [],
    take: () => Promise.resolve(),
    answer: { ok: true },
    inject: (options) =>
      served.page.app.inject({
        ...options,
        headers: { host: '192.0.2.7:8080', ...options.headers },
      }),
    signIn: async (pin) => {
      const response = await served.inject({
        method: 'POST',
        url: '/api/sign-in',
        payload: { pin },
      });
      return cookiesOf(response);
    },
  };
  served.page = await buildApp({
    data: {
      siteDir,
      webDir,
      searchModule: null,
      names: ['pen.example'],
      openLooking: given.openLooking ?? true,
      zone: 'Europe/London',
      version: '0',
    },
    secrets,
    sessions: openSessions(siteDir, 'Europe/London'),
    clock: { wall: () => served.time.wall, mono: () => served.time.mono },
    command: (command, who) => {
      served.commands.push({ command, who });
      return Promise.resolve(served.answer);
    },
    order: (order, who) => {
      served.orders.push({ order, who });
      return Promise.resolve(served.answer);
    },
    change: async (change) => {
      served.changes.push(change);
      await served.take(change);
      return served.answer;
    },
    fitting: () => Promise.resolve(null),
    book: lateBook(BOOK_MODULE, siteDir),
  });
  opened.unshift(() => served.page.app.close());
  return served;
}
