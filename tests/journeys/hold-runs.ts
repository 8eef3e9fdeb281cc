/// <reference lib="dom" />
/** Presses of a hold-to-run button that end as they should not: from the last true touch to the relay. */
import { connect, createServer, type Server, type Socket } from 'node:net';
import type { AddressInfo } from 'node:net';
import type { Browser, BrowserContext, CDPSession, Page as Tab } from 'playwright-core';
import type { Config } from '../../src/core/step.ts';
import { PHONE, signIn } from './pen.ts';
import { FITTER, wallMs, type FitBench } from './fit-bench.ts';

/** A line that can stall: what comes in meanwhile waits, and is then delivered all at once. */
export interface Line {
  server: Server;
  port: number;
  stalled: boolean;
}

export async function openLine(to: number): Promise<Line> {
  const line: Line = { server: createServer(), port: 0, stalled: false };
  line.server.on('connection', (near: Socket) => {
    const far = connect(to, '127.0.0.1');
    const pass = (from: Socket, into: Socket): void => {
      const waiting: Buffer[] = [];
      const flush = (): void => {
        if (line.stalled) return;
        for (const data of waiting.splice(0)) into.write(data);
      };
      from.on('data', (data: Buffer) => {
        waiting.push(data);
        flush();
      });
      const timer = setInterval(flush, 5);
      from.on('close', () => {
        clearInterval(timer);
        into.destroy();
      });
      from.on('error', () => from.destroy());
    };
    pass(near, far);
    pass(far, near);
  });
  await new Promise<void>((resolve) => line.server.listen(0, '127.0.0.1', resolve));
  line.port = (line.server.address() as AddressInfo).port;
  return line;
}

/** One phone on the Fitting screen, behind the line. */
export interface Fitter {
  context: BrowserContext;
  tab: Tab;
  touch: CDPSession;
  /** Another tab of this browser, behind it. */
  behind: Tab;
}

export async function openFitter(browser: Browser, url: string): Promise<Fitter> {
  // A plain screen: what is measured is not how fast this machine paints.
  const context = await browser.newContext({
    viewport: PHONE,
    deviceScaleFactor: 1,
    hasTouch: true,
    isMobile: true,
    reducedMotion: 'reduce',
  });
  const behind = await context.newPage();
  const tab = await context.newPage();
  await tab.goto(url);
  await signIn(tab, FITTER);
  await tab.getByRole('button', { name: 'Menu' }).tap();
  await tab.getByRole('button', { name: 'Fitting', exact: true }).tap();
  await tab.getByRole('button', { name: 'Lamps and leaves' }).tap();
  await tab.locator('[data-output="leafA.extend"]').waitFor();
  return { context, tab, behind, touch: await context.newCDPSession(tab) };
}

interface Point {
  x: number;
  y: number;
}

async function middle(tab: Tab, output: string): Promise<Point> {
  const button = tab.locator(`[data-output="${output}"]`);
  await button.scrollIntoViewIfNeeded();
  const box = await button.boundingBox();
  if (box === null) throw new Error(`${output} is not on the page`);
  return { x: box.x + box.width / 2, y: box.y + box.height / 2 };
}

/** Touches `output`; true when its relay is on within 2 s. */
async function pressDown(
  { tab, touch }: Fitter,
  bench: FitBench,
  output: string,
): Promise<boolean> {
  const point = await middle(tab, output);
  await touch.send('Input.dispatchTouchEvent', { type: 'touchStart', touchPoints: [point] });
  return until(() => bench.on(output), 2000);
}

export async function liftAll({ touch }: Fitter): Promise<void> {
  await touch.send('Input.dispatchTouchEvent', { type: 'touchEnd', touchPoints: [] });
}

export const KINDS = [
  'stalled line',
  'lost pointer-up',
  'screen lock',
  'tab switch',
  'second phone',
] as const;
export type Kind = (typeof KINDS)[number];

export interface RunResult {
  kind: Kind;
  /** From the last true touch until the output was off at the relay, ms. */
  offMs: number;
  /** The output went on again by itself. */
  again: boolean;
  /** Presses that ran out before, for want of a renewal in time. */
  early: number;
}

export interface Scene {
  bench: FitBench;
  line: Line;
  browser: Browser;
  one: Fitter;
  other: Fitter;
}

/** Waits for what comes soon, without the test runner: a command of its own waits too. */
async function until(ready: () => boolean, mostMs: number): Promise<boolean> {
  const begunMs = wallMs();
  while (!ready() && wallMs() - begunMs < mostMs) await pause(3);
  return ready();
}

const pause = (ms: number): Promise<void> => new Promise((resolve) => setTimeout(resolve, ms));

/** One press that ends so; `n` varies when. The output must have been on at the last true touch. */
export async function run(scene: Scene, kind: Kind, n: number): Promise<RunResult> {
  const { bench, one } = scene;
  const output = n % 2 === 0 ? 'leafA.extend' : 'leafA.retract';
  let early = 0;
  // A machine that is busy may let a press run out: it is held anew.
  for (;;) {
    // A tick that came late on a busy machine is a fault, which somebody clears.
    const { loop } = bench.daemon;
    if (loop.state.cycle.mode === 'fault') loop.command({ do: 'clear' });
    await take(one.tab);
    const on = await pressDown(one, bench, output);
    if (on) await pause(150 + ((n * 37) % 300));
    if (bench.on(output)) break;
    early += 1;
    const said = await one.tab.locator('.run .said').allInnerTexts();
    if (early % 10 === 0)
      process.stderr.write(`${kind}: ${String(early)} presses ran out: ${said.join(' ')}\n`);
    if (early > 150) throw new Error(`${kind}: ${output} never stays on: ${said.join(' ')}`);
    await liftAll(one);
    await pause(200 + 20 * early);
  }
  const touchedMs = wallMs();
  const afterwards = await ends[kind](scene, output, n);
  await until(() => !bench.on(output), 10_000);
  await afterwards();
  const changes = bench.relays.filter((one) => one.output === output && one.atMs >= touchedMs);
  const off = changes.find(({ on }) => !on);
  return {
    kind,
    early,
    offMs: (off?.atMs ?? Infinity) - touchedMs,
    again: changes.some(({ on }) => on),
  };
}

/** The controls are this phone’s. */
async function take(tab: Tab): Promise<void> {
  await tab.evaluate(() =>
    fetch('/api/control', {
      method: 'POST',
      headers: { 'content-type': 'application/json' },
      body: '{"take":true}',
    }),
  );
}

/** Makes it happen; what it gives is done after the output is off. */
const ends: Record<
  Kind,
  (scene: Scene, output: string, n: number) => Promise<() => Promise<void>>
> = {
  /** Nothing gets through for 3 s, while the finger goes; then all of it is delivered. */
  'stalled line': async ({ line, one }) => {
    line.stalled = true;
    await liftAll(one);
    const begunMs = wallMs();
    return async () => {
      await pause(3000 - (wallMs() - begunMs));
      line.stalled = false;
      await pause(700);
    };
  },
  /** The browser takes the touch away, or stands still while the finger goes: no pointer-up comes. */
  'lost pointer-up': async ({ one }, _output, n) => {
    if (n % 4 < 2) {
      await one.touch.send('Input.dispatchTouchEvent', { type: 'touchCancel', touchPoints: [] });
      return () => pause(300);
    }
    void one.tab.evaluate(() => {
      const untilMs = performance.now() + 900;
      while (performance.now() < untilMs);
    });
    const lifted = liftAll(one);
    return async () => {
      await lifted;
      await pause(600);
    };
  },
  /** The page is hidden and its timers stop, the finger still on the glass. */
  'screen lock': async ({ one }) => {
    await hide(one.tab, true);
    await one.touch.send('Page.setWebLifecycleState', { state: 'frozen' });
    return async () => {
      await pause(300);
      await one.touch.send('Page.setWebLifecycleState', { state: 'active' });
      await hide(one.tab, false);
      await pause(400);
      await liftAll(one);
    };
  },
  /** Another tab comes to the front, the finger still on the glass. */
  'tab switch': async ({ one }) => {
    await one.behind.bringToFront();
    // A browser without a screen leaves the page its focus: it is told what a phone would tell it.
    await one.tab.evaluate(() => dispatchEvent(new Event('blur')));
    return async () => {
      await pause(300);
      await one.tab.bringToFront();
      await pause(300);
      await liftAll(one);
    };
  },
  /** Somebody takes the controls over, presses another leaf or Stop, while the first finger stays. */
  'second phone': async ({ bench, other, one }, _output, n) => {
    const pressed = n % 4 < 2;
    if (pressed) {
      await take(other.tab);
      await pressDown(other, bench, 'leafB.retract');
    } else await other.tab.locator('.stop').tap();
    return async () => {
      await pause(400);
      if (pressed) await liftAll(other);
      await liftAll(one);
    };
  },
};

async function hide(tab: Tab, hidden: boolean): Promise<void> {
  await tab.evaluate((is) => {
    Object.defineProperty(document, 'hidden', { value: is, configurable: true });
    document.dispatchEvent(new Event('visibilitychange'));
  }, hidden);
}

/** No limit of a leaf ends a press before its finger does. */
export function longStrokes(config: Config): Config {
  const leaves = config.gate.leaves.map((leaf) => ({ ...leaf, duty: null, maxOnMs: 25_000 }));
  return { ...config, gate: { ...config.gate, leaves } };
}
