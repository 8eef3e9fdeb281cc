const DIRECTION = /\.(extend|retract)$/;

/** The other direction of the same leaf; null for an output that is no direction. */
export function oppositeOf(name: string): string | null {
  const direction = DIRECTION.exec(name)?.[1];
  if (direction === undefined) return null;
  return name.replace(DIRECTION, direction === 'extend' ? '.retract' : '.extend');
}

/**
 * When each direction was read back as off. The core counts the dead time from asking, but a relay at
 * the far end of a bus goes off later than it was asked to, so the other direction is held back here.
 */
export class DeadTime {
  readonly #names: string[];
  readonly #ms: number;
  readonly #mayBeOn: Set<string>;
  readonly #offAt = new Map<string, number>();

  /** At first everything may be on. */
  constructor(names: string[], ms: number) {
    this.#names = names;
    this.#ms = ms;
    this.#mayBeOn = new Set(names);
  }

  /** Everything is known to be off. */
  get allOff(): boolean {
    return this.#mayBeOn.size === 0;
  }

  /** Nothing is known of the board any more. */
  forget(): void {
    for (const name of this.#names) this.#mayBeOn.add(name);
  }

  /** A message with these levels goes out: what it switches on may be on from now on. */
  sent(levels: Record<string, boolean>): void {
    for (const name of this.#names) if (levels[name] === true) this.#mayBeOn.add(name);
  }

  /** These levels were read back at `t`. */
  readBack(levels: Record<string, boolean>, t: number): void {
    for (const name of this.#names) {
      if (levels[name] === true || !this.#mayBeOn.delete(name)) continue;
      this.#offAt.set(name, t);
    }
  }

  /** When this output may go on; null while the other direction is not known to be off. */
  freeAt(name: string): number | null {
    const opposite = oppositeOf(name);
    if (opposite === null) return 0;
    if (this.#mayBeOn.has(opposite)) return null;
    const offAt = this.#offAt.get(opposite);
    return offAt === undefined ? 0 : offAt + this.#ms;
  }
}
