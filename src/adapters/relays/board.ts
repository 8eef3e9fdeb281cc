/** The edge of the machine: levels of named inputs in, levels of named outputs out. */
export interface Board {
  /** Names of the inputs that the board has wired. */
  inputs: string[];
  /**
   * Levels of all inputs as they are now, or null where they could not be read within the last 100 ms.
   * A stop loop that was open since the last call and is healthy again reads as open once. Called once
   * a tick, before the tick is given to the core.
   */
  read(): Record<string, boolean> | null;
  /**
   * Brings every named output to its level. False when the board did not take it, or is not known to
   * have taken what it was given before. Called with all of them in every tick, besides at changes.
   */
  write(levels: Record<string, boolean>): boolean;
  /** One edge of the keep-alive: called last in a good tick. */
  edge(): void;
  /** Volts of the battery as last measured, or null where there is no such input. */
  volts(): number | null;
  /**
   * Everything to its safe value, lines given back. A board that does not answer is told once more, and
   * said.
   */
  close(): void | Promise<void>;
}
