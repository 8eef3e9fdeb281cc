/** The operator of the simulated yard: watches the lamp, opens the front, presses start, resets. */
import type { Command, Mode } from '../src/core/trace.ts';
import type { Random } from './random.ts';

/** What the operator can see of the program. */
export interface Seen {
  levels: Readonly<Record<string, boolean>>;
  mode: Mode;
  /** The page or the sounder asks for a look at the lane. */
  asksForLook: boolean;
  /** A leaf hangs between its ends while an animal waits. */
  asksForHoming: boolean;
  /** Nothing moves before the crate is empty. */
  asksForEmptyCrate: boolean;
}

/** A lamp that stays dark this long has been taken back: longer than any pause in its patterns. */
const DARK_MS = 650;
/** An animal held this long without a signal is named by hand, ms. */
const PATIENCE_MS = 12_000;
const PRESS_MS = 300;

export class Operator {
  /** The start button is down. */
  pressing = false;
  /** How often a fault was cleared, or tried to be. */
  presses = 0;
  readonly #random: Random;
  readonly #exitFor: (kg: number) => string;
  #opensAt: number | null = null;
  #lampAt = 0;
  #earlyAfterMs: number | null = null;
  #named = false;
  #pressUntil = 0;
  #looksAt = 1000;
  #fedSince: number | null = null;

  constructor(random: Random, exitFor: (kg: number) => string) {
    this.#random = random;
    this.#exitFor = exitFor;
  }

  /** Another animal is on. Now and then the front is opened without waiting for the lamp. */
  watches(own: Random): void {
    this.#opensAt = null;
    this.#named = false;
    this.#earlyAfterMs = own.chance(0.01) ? own.between(300, 5000) : null;
  }

  /** Opens the front a moment after the lamp. */
  opens(t: number, onAt: number, { levels, mode, asksForEmptyCrate }: Seen): boolean {
    if (this.#earlyAfterMs !== null && t - onAt >= this.#earlyAfterMs) return true;
    if (asksForEmptyCrate && t - onAt >= PATIENCE_MS) return true;
    if (mode !== 'running') return false;
    if (levels['letGoLamp'] === true) {
      this.#opensAt ??= t + this.#random.between(250, 800);
      this.#lampAt = t;
    } else if (t - this.#lampAt > DARK_MS) this.#opensAt = null;
    return this.#opensAt !== null && t >= this.#opensAt;
  }

  /** Names the exit of an animal that is held long. */
  says(t: number, held: { kg: number; onAt: number } | null): Command[] {
    if (held === null || this.#named || this.#opensAt !== null) return [];
    if (t - held.onAt < PATIENCE_MS) return [];
    this.#named = true;
    return [{ do: 'exit', exit: this.#exitFor(held.kg) }];
  }

  /**
   * Looks at the gate once a second and presses the wired start where it is asked for and nobody is
   * in the lane; pauses first where a leaf hangs. `laneEmpty` is what is really there.
   */
  looks(t: number, seen: Seen, laneEmpty: boolean, stopped: boolean): Command[] {
    if (this.pressing && t >= this.#pressUntil) this.pressing = false;
    if (t < this.#looksAt) return [];
    this.#looksAt = t + Math.floor(this.#random.between(50, 100)) * 20;
    if (!laneEmpty || stopped || this.pressing) return [];
    if (seen.asksForHoming) return [{ do: 'pause' }];
    const idle = seen.mode === 'stopped' || seen.mode === 'fault' || seen.mode === 'paused';
    if (!idle && !seen.asksForLook) return [];
    this.presses += 1;
    this.pressing = true;
    this.#pressUntil = t + PRESS_MS;
    return [];
  }

  /** The drop-out relay's reset, soon after the keep-alive is fed, with nobody in the gate. */
  resets(t: number, dead: boolean, { levels }: Seen): boolean {
    this.#fedSince = levels['keepAlive'] === true ? (this.#fedSince ?? t) : null;
    return this.#fedSince !== null && dead && t - this.#fedSince >= 300;
  }
}
