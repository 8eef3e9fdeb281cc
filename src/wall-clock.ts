/** The wall clock as the day's work sees it: which day it is, and by how much it was wrong before it was set. */
import type { Wall } from './adapters/records/port.ts';
import type { LoopClock } from './loop.ts';

/** The clock is looked at this often, ms. */
const LOOK_MS = 1000;

export class WallClock {
  readonly #clock: LoopClock;
  readonly #localTime: (atMs: number) => string;
  #lookedMs = 0;
  #before: { set: boolean; offsetMs: number };

  /** @param localTime `YYYY-MM-DDTHH:MM:SS` by the clock on the wall of the site */
  constructor(clock: LoopClock, localTime: (atMs: number) => string) {
    this.#clock = clock;
    this.#localTime = localTime;
    this.#before = { set: clock.isSet(), offsetMs: clock.wallAt(0) };
  }

  get set(): boolean {
    return this.#clock.isSet();
  }

  now(): Wall {
    return { atMs: this.#clock.wallAt(this.#clock.now()), clockSet: this.#clock.isSet() };
  }

  local(): string {
    return this.#localTime(this.now().atMs);
  }

  today(): string {
    return this.local().slice(0, 10);
  }

  /** `HH:MM` of a moment. */
  timeOf(atMs: number): string {
    return this.#localTime(atMs).slice(11, 16);
  }

  /** True once a second. */
  isDue(): boolean {
    const t = this.#clock.now();
    if (t - this.#lookedMs < LOOK_MS) return false;
    this.#lookedMs = t;
    return true;
  }

  /**
   * Looks whether the clock was set since the last look: by how much it had been wrong, and the wall
   * time (by the wrong clock) since which that holds. Null: it was not.
   */
  wasSet(): { deltaMs: number; sinceMs: number } | null {
    const before = this.#before;
    this.#before = { set: this.#clock.isSet(), offsetMs: this.#clock.wallAt(0) };
    if (!this.#before.set || before.set) return null;
    const deltaMs = Math.round(this.#before.offsetMs - before.offsetMs);
    return { deltaMs, sinceMs: Math.round(before.offsetMs) };
  }

  /** A person says what time it is, UTC ms; false where this clock takes nobody's word. */
  vouch(wallMs: number): boolean {
    if (this.#clock.vouch === undefined) return false;
    this.#clock.vouch(wallMs - this.now().atMs);
    return true;
  }
}
