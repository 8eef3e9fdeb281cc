/// <reference lib="dom" />
/** A person at the simulated gate: works contacts, holds buttons, looks, and says what is really so. */
import type { CDPSession, Locator, Page as Tab } from 'playwright-core';
import type { StepId } from '../../src/fitting/steps.ts';
import type { FittingView, ItemView } from '../../src/fitting/view.ts';
import { wallMs, type FitBench } from './fit-bench.ts';
import { soon } from './pen.ts';

const pause = (ms: number): Promise<void> => new Promise((resolve) => setTimeout(resolve, ms));

export class Installer {
  readonly tab: Tab;
  readonly bench: FitBench;
  #touch: CDPSession | null = null;

  constructor(tab: Tab, bench: FitBench) {
    this.tab = tab;
    this.bench = bench;
  }

  /** What the page was told. */
  view(): Promise<FittingView> {
    return this.tab.evaluate(
      async () => (await (await fetch('/api/fitting')).json()) as FittingView,
    );
  }

  async item(id: string): Promise<ItemView> {
    const { steps } = await this.view();
    const found = steps.flatMap(({ items }) => items).find((one) => one.id === id);
    if (found === undefined) throw new Error(`no item ${id}`);
    return found;
  }

  card(id: string): Locator {
    return this.tab.locator(`[data-item="${id}"]`);
  }

  async open(step: StepId): Promise<void> {
    const back = this.tab.getByRole('button', { name: 'Back to the steps' });
    if ((await back.count()) > 0) await back.tap();
    await this.tab.locator(`[data-step="${step}"]`).tap();
    await this.tab.locator(`[data-step-shown="${step}"]`).waitFor();
  }

  async standing(id: string, is: string): Promise<void> {
    await soon(() => this.card(id).getAttribute('data-standing')).toBe(is);
  }

  /** What stands on the card once it is no longer open. */
  async settled(id: string): Promise<string | null> {
    await soon(() => this.card(id).getAttribute('data-standing')).not.toBe('open');
    return this.card(id).getAttribute('data-standing');
  }

  async tap(id: string, button: string): Promise<void> {
    await this.card(id).getByRole('button', { name: button }).tap();
  }

  /** Holds a button of this card until `done`, as a finger does. */
  async hold(where: Locator, output: string, done: () => boolean): Promise<void> {
    this.#touch ??= await this.tab.context().newCDPSession(this.tab);
    const button = where.locator(`[data-output="${output}"]`);
    await button.scrollIntoViewIfNeeded();
    const begunMs = wallMs();
    // A busy machine may let a press run out: it is held anew, as a person would.
    while (!done()) {
      if (wallMs() - begunMs > 120_000) throw new Error(`${output} never got there`);
      await this.#clear();
      const box = await button.boundingBox();
      if (box === null) throw new Error(`no button ${output}`);
      const point = { x: box.x + box.width / 2, y: box.y + box.height / 2 };
      await this.#touch.send('Input.dispatchTouchEvent', {
        type: 'touchStart',
        touchPoints: [point],
      });
      const onMs = wallMs();
      while (!done() && (this.bench.on(output) || wallMs() - onMs < 1500)) await pause(4);
      await this.lift();
    }
  }

  async lift(): Promise<void> {
    await this.#touch?.send('Input.dispatchTouchEvent', { type: 'touchEnd', touchPoints: [] });
    await soon(() => this.bench.relays.at(-1)?.on ?? false, 10).toBe(false);
  }

  /** A tick that came late on a busy machine is a fault, which somebody clears. */
  async #clear(): Promise<void> {
    const { loop } = this.bench.daemon;
    if (loop.state.cycle.mode === 'fault') loop.command({ do: 'clear' });
    await pause(20);
  }

  /** Sends a leaf to an end, and sees that it got there or that it did not. */
  async send(where: Locator, leaf: string, end: 'extended' | 'retracted'): Promise<void> {
    const output = `${leaf}.${end === 'extended' ? 'extend' : 'retract'}`;
    const { crossed, wrongWay } = this.bench.faults;
    const really = crossed ? (leaf === 'leafA' ? 'leafB' : 'leafA') : leaf;
    const out = (end === 'extended') !== wrongWay.has(really);
    const before = this.bench.relays.length;
    const there = (): boolean => {
      const place = this.bench.place(really);
      return this.bench.relays.length > before && (out ? place >= 0.999 : place <= 0.001);
    };
    await this.hold(where, output, there);
  }

  /** Which way really stands open. */
  openExit(): 'left' | 'ahead' | 'right' {
    const out = (leaf: string): boolean => this.bench.place(leaf) > 0.5;
    return out('leafA') ? 'left' : out('leafB') ? 'right' : 'ahead';
  }

  async contact(input: string, rest: boolean): Promise<void> {
    const { broken } = this.bench.faults;
    if (input === 'actuatorPower') {
      broken.add(input);
      await pause(300);
      broken.delete(input);
    } else if (input === 'stopLoop') {
      this.bench.stopPressed = true;
      await pause(300);
      this.bench.stopPressed = false;
    } else {
      this.bench.contacts[input] = !rest;
      await pause(300);
      this.bench.contacts[input] = rest;
    }
    await pause(200);
    await this.#clear();
  }
}
