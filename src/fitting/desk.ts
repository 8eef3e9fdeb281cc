/** The fitting as the main thread keeps it: what people say, what is seen, what is open. */
import type { Mode } from '../core/trace.ts';
import { judge } from './judge.ts';
import { changesOf, measured, notAsked, settle, type Found, type LookedFor } from './measure.ts';
import {
  dropOutProved,
  isSigned,
  notFitted,
  openItems,
  standing,
  withResult,
  withYard,
  type FittingState,
  type Marks,
} from './state.ts';
import { stepsOf, type Item, type Step, type Yard } from './steps.ts';
import type { FittingLive, FittingSaid, FittingView } from './view.ts';
import { createWatch, type Seen, type Watch } from './watch.ts';

export interface DeskOptions {
  yard: Yard;
  /** Names of the profiles that the site uses. */
  profiles: FittingView['profiles'];
  marks: Marks;
  state: FittingState;
  /** False where nothing real moves. */
  needed: boolean;
  /** Monotonic ms. */
  now: () => number;
  wall: () => { atMs: number; clockSet: boolean };
  /** Names this start of the machine; null where it is not known. */
  boot: string | null;
  /** Puts the state on the card; null, or why it could not. */
  write: (state: FittingState) => Promise<string | null>;
  /** What is open has changed. */
  changed: () => void;
}

interface Watching extends LookedFor {
  step: Step;
  who: string;
}

export class FittingDesk {
  readonly #options: DeskOptions;
  readonly #watch: Watch;
  #state: FittingState;
  #steps: Step[];
  #rev = 1;
  #mode: Mode = 'stopped';
  #watching: Watching | null = null;
  /** Number of each leaf's stroke that was taken already. */
  #taken = new Map<string, number>();
  #writing: Promise<unknown> = Promise.resolve();

  constructor(options: DeskOptions) {
    this.#options = options;
    this.#state = options.state;
    this.#watch = createWatch(options.yard.gate.leaves);
    this.#steps = stepsOf(options.yard, options.state.yard !== null);
  }

  /** Names of what keeps the race from starting. */
  notFitted(): string[] {
    const { needed, marks } = this.#options;
    return needed ? notFitted(this.#steps, this.#state, marks) : [];
  }

  dropOutProved(): boolean {
    return dropOutProved(this.#steps, this.#state, this.#options.marks);
  }

  see(seen: Seen, mode: Mode): void {
    this.#mode = mode;
    this.#watch.see(seen);
    const watching = this.#watching;
    if (watching === null) return;
    const settled = settle(watching, this.#watch, seen.nowMs);
    if (settled === null) return;
    this.#watching = null;
    void this.#keep(this.#put(watching.item, watching.step, watching.who, settled));
  }

  /** Null where it was taken, else why not, in words. */
  async said(said: FittingSaid): Promise<string | null> {
    if (said.do === 'sign') return this.#sign(said.who);
    if (said.do === 'new-yard') return this.#newYard(said.place, said.who);
    const found = this.#find(said.item);
    if (found === null) return `This fitting has no item ${said.item}.`;
    const { item, step } = found;
    switch (said.do) {
      case 'again':
        this.#watching = null;
        return this.#keep(withResult(this.#state, item.id, null));
      case 'watch':
        return this.#begin(item, step, said.who);
      case 'take':
        return this.#take(item, step, said.who);
      case 'answer': {
        const reason = notAsked(item.ask, said.value, this.#watch);
        if (reason !== null) return reason;
        const ok = judge(item.ask, said.value) === true;
        return this.#keep(this.#put(item, step, said.who, { ok, value: said.value }));
      }
    }
  }

  view(): FittingView {
    const { marks, needed, yard, profiles } = this.#options;
    const state = this.#state;
    const { signed } = state;
    return {
      rev: this.#rev,
      needed,
      profiles,
      steps: this.#steps.map((step) => ({
        id: step.id,
        safety: step.safety,
        done: openItems(step, state, marks).length === 0,
        items: step.items.map((item) => ({
          ...item,
          standing: standing(item, step, state, marks),
          result: state.results[item.id] ?? null,
        })),
      })),
      signed: signed === null ? null : { ...signed, holds: isSigned(state, marks) },
      yard: state.yard,
      notFitted: this.notFitted(),
      leaves: yard.gate.leaves.map(({ name, endSwitches, travelMs }) => {
        return { name, endSwitches, travelMs };
      }),
      exits: Object.keys(yard.gate.exits),
    };
  }

  live(): FittingLive {
    const nowMs = this.#options.now();
    const { inputs, moving, last, volts, leastVolts, kg, stop } = this.#watch;
    const watching = this.#watching;
    return {
      rev: this.#rev,
      mode: this.#mode,
      inputs: Object.entries(inputs).map(([name, { changedMs, ...one }]) => ({
        name,
        ...one,
        ageMs: changedMs === null ? null : nowMs - changedMs,
      })),
      moving,
      strokes: Object.values(last),
      volts,
      leastVolts,
      kg,
      perSecond: this.#watch.perSecond(nowMs),
      stop,
      watching:
        watching === null
          ? null
          : { item: watching.item.id, forMs: nowMs - watching.beganMs, left: watching.left },
    };
  }

  #find(id: string): { item: Item; step: Step } | null {
    for (const step of this.#steps) {
      const item = step.items.find((one) => one.id === id);
      if (item !== undefined) return { item, step };
    }
    return null;
  }

  #put(item: Item, step: Step, who: string, found: Found): FittingState {
    const mark = step.mark === null ? null : this.#options.marks[step.mark];
    return withResult(this.#state, item.id, { ...found, who, ...this.#options.wall(), mark });
  }

  /** On the card first: what is shown as done is done after a power cut too. */
  async #keep(next: FittingState): Promise<string | null> {
    // One after another, each on top of the one before.
    const before = this.#state;
    this.#state = next;
    this.#steps = stepsOf(this.#options.yard, next.yard !== null);
    const written = this.#writing.then(() => this.#options.write(next));
    this.#writing = written.catch(() => null);
    const failed = await written;
    if (failed !== null) {
      if (this.#state === next) {
        this.#state = before;
        this.#steps = stepsOf(this.#options.yard, before.yard !== null);
      }
      return failed;
    }
    this.#rev += 1;
    this.#options.changed();
    return null;
  }

  #begin(item: Item, step: Step, who: string): Promise<string | null> | string | null {
    const { ask } = item;
    if (!['input', 'quiet', 'stopped', 'drop-out'].includes(ask.kind)) {
      return 'Nothing is watched for here.';
    }
    const beganMs = this.#options.now();
    if (ask.kind === 'input' && this.#watch.inputs[ask.input]?.on !== ask.rest) {
      const found = { ok: false, value: 'not-at-rest' };
      return this.#keep(this.#put(item, step, who, found));
    }
    this.#watch.forget();
    this.#watching = { item, step, who, beganMs, changes: changesOf(this.#watch), left: false };
    return null;
  }

  /** What was measured last becomes this item's figure. */
  #take(item: Item, step: Step, who: string): Promise<string | null> | string {
    const { ask } = item;
    if (ask.kind === 'reboots') return this.#takeBoot(item, step, who);
    const so = this.#so(item);
    const way = so.length === 0 ? null : (this.#state.results[item.id]?.way ?? null);
    const before = { so, way, taken: this.#taken };
    const found = measured(ask, this.#watch, this.#options.now(), before);
    return typeof found === 'string' ? found : this.#keep(this.#put(item, step, who, found));
  }

  /** Figures of an item that takes several, so far; none where it is full or stale. */
  #so(item: Item): number[] {
    const found = this.#find(item.id);
    const result = this.#state.results[item.id];
    if (found === null || result === undefined || !Array.isArray(result.value)) return [];
    const is = standing(item, found.step, this.#state, this.#options.marks);
    return is === 'open' ? result.value.filter((one) => one !== null) : [];
  }

  #takeBoot(item: Item, step: Step, who: string): Promise<string | null> | string {
    const { ask } = item;
    if (ask.kind !== 'reboots') return 'Nothing is measured here.';
    const { boot } = this.#options;
    const so = this.#so(item);
    const boots = so.length === 0 ? [] : this.#state.boots;
    if (boot !== null && boots.includes(boot)) {
      return 'This is the same start as before: reboot, and watch the leaves.';
    }
    const value = [...so, so.length + 1];
    const next = this.#put(item, step, who, { ok: value.length >= ask.count, value });
    return this.#keep({ ...next, boots: boot === null ? boots : [...boots, boot] });
  }

  #sign(who: string): Promise<string | null> | string {
    const { marks, wall } = this.#options;
    const open = this.#steps.flatMap((step) => openItems(step, this.#state, marks));
    const safety = this.#steps.find(
      (step) => step.safety && openItems(step, this.#state, marks).length > 0,
    );
    if (safety !== undefined) return 'A safety step is open: it cannot be signed yet.';
    const signed = { who, ...wall(), marks, open: open.map(({ id }) => id) };
    return this.#keep({ ...this.#state, signed });
  }

  #newYard(place: string, who: string): Promise<string | null> {
    return this.#keep(withYard(this.#state, { place, who, atMs: this.#options.wall().atMs }));
  }
}
