import { setTimeout as sleep } from 'node:timers/promises';
import { DeadTime } from './dead-time.ts';
import { openBus, type Bus, type BusSettings } from './modbus-bus.ts';

/** Names and addresses of the part of a board that is on Modbus RTU. */
export interface ModbusWiring {
  bus: BusSettings;
  /** Coils follow on one another without a gap, since one message sets all of them. */
  outputs: Record<string, { coil: number }>;
  /** So do discrete inputs. */
  inputs: Record<string, { discrete: number; active: 'high' | 'low' }>;
  volts: { register: number; voltsPerCount: number } | null;
  /** Holding register that switches all off when the bus falls silent, and its setting. */
  watchdog: { register: number; value: number } | null;
  /** From one direction of a leaf read back as off until the other may be sent on. */
  deadTimeMs: number;
}

export interface ModbusBoard {
  /** Inputs as last seen; null where that was asked for more than 100 ms ago. */
  read(): Record<string, boolean> | null;
  /** Asks for these levels; false while the board is not known to have those asked for before. */
  write(levels: Record<string, boolean>): boolean;
  volts(): number | null;
  /** Off, and once more where that was not read back; then the port is closed. */
  close(): Promise<void>;
}

export interface ModbusOptions {
  /** Monotonic ms, with fractions. */
  now: () => number;
  /** Trouble and its end, in words. */
  say: (text: string) => void;
}

/** A sample's life: as in the interlock. */
const SAMPLE_LIFE_MS = 100;
/** What was asked for is read back by then, or the board counts as lost. */
export const CONFIRM_MS = 250;
/** With nothing to write, coils are read back and volts read this often. */
const CHECK_MS = 500;
const VOLTS_LIFE_MS = 5 * CHECK_MS;
const LONGEST_WAIT_MS = 1000;
/** Between two looks at what is wanted, on a board that has no contacts to ask for. */
const IDLE_MS = 5;

/**
 * A relay and input board on Modbus RTU. Nothing is ever queued: each message carries the newest
 * levels. What goes off goes first, and what goes on waits until that was read back, and a direction
 * for the dead time after it, so that a slow bus does not eat that. An "on" is sent once; when it is not read back the board counts as
 * lost and gets "off" until that is read back. After a loss nothing comes on before `write` has told
 * of it.
 */
export function openModbus(wiring: ModbusWiring, options: ModbusOptions): ModbusBoard {
  return new Polled(wiring, options);
}

interface Block {
  first: number;
  names: string[];
}

class Polled implements ModbusBoard {
  readonly #wiring: ModbusWiring;
  readonly #options: ModbusOptions;
  readonly #coils: Block;
  readonly #discretes: Block;
  readonly #ended: Promise<void>;
  readonly #closing = new AbortController();
  #up = false;
  /** `write` has said false since the board was lost. */
  #told = false;
  /** It was lost because it took too long. */
  #late = false;
  #wanted: Record<string, boolean> = {};
  /** Read back last. */
  #confirmed: Record<string, boolean> = {};
  /** When each level was asked for that has not been read back. */
  readonly #asked = new Map<string, number>();
  readonly #dead: DeadTime;
  #sample: { levels: Record<string, boolean>; asked: number } | null = null;
  #volts: { volts: number; at: number } | null = null;
  #checked = 0;
  #failures = 0;
  #said = '';

  constructor(wiring: ModbusWiring, options: ModbusOptions) {
    this.#wiring = wiring;
    this.#options = options;
    this.#coils = block(wiring.outputs, (pin) => pin.coil);
    this.#discretes = block(wiring.inputs, (pin) => pin.discrete);
    this.#dead = new DeadTime(this.#coils.names, wiring.deadTimeMs);
    this.#ended = this.#live();
  }

  read(): Record<string, boolean> | null {
    if (this.#discretes.names.length === 0) return {};
    const sample = this.#sample;
    if (sample === null || this.#options.now() - sample.asked > SAMPLE_LIFE_MS) return null;
    return { ...sample.levels };
  }

  write(levels: Record<string, boolean>): boolean {
    if (this.#up && this.#overdue()) {
      this.#late = true;
      this.#lose();
    }
    if (!this.#up) {
      this.#told = true;
      return false;
    }
    for (const name of this.#coils.names) {
      const on = levels[name] ?? this.#wanted[name] ?? false;
      if (on === this.#on(this.#wanted, name)) continue;
      this.#wanted[name] = on;
      this.#asked.set(name, this.#options.now());
    }
    return true;
  }

  volts(): number | null {
    const last = this.#volts;
    return last !== null && this.#options.now() - last.at <= VOLTS_LIFE_MS ? last.volts : null;
  }

  async close(): Promise<void> {
    this.#closing.abort();
    await this.#ended;
  }

  #overdue(): boolean {
    const now = this.#options.now();
    return [...this.#asked].some(([name, asked]) => {
      const heldTo = this.#on(this.#wanted, name) ? (this.#dead.freeAt(name) ?? 0) : 0;
      return now - Math.max(asked, heldTo) > CONFIRM_MS;
    });
  }

  /** Everything asked for is forgotten: only a new wish comes on again. */
  #lose(): void {
    this.#up = false;
    this.#told = false;
    this.#wanted = {};
    this.#asked.clear();
    this.#dead.forget();
  }

  async #live(): Promise<void> {
    const { signal } = this.#closing;
    while (!signal.aborted) {
      await this.#onBus((bus) => this.#serve(bus)).catch((error: unknown) => {
        this.#lose();
        this.#late = false;
        this.#failures += 1;
        this.#say((error as Error).message);
      });
      await this.#wait();
    }
    if (this.#dead.allOff) return;
    // Relays may be on, and the board may hear again by now.
    await twice(() => this.#onBus((bus) => this.#put(bus, {}))).catch((error: unknown) => {
      this.#say((error as Error).message);
    });
  }

  async #onBus(work: (bus: Bus) => Promise<void>): Promise<void> {
    const bus = await openBus(this.#wiring.bus, this.#options.now);
    await work(bus).finally(() => bus.close());
  }

  /** Long enough for a late answer to be over before the next question. */
  async #wait(): Promise<void> {
    const ms = Math.min(LONGEST_WAIT_MS, 2 * this.#wiring.bus.timeoutMs * this.#failures);
    await sleep(ms, undefined, this.#closing).catch(() => undefined);
  }

  #say(text: string): void {
    if (text !== this.#said) this.#options.say(text);
    this.#said = text;
  }

  async #serve(bus: Bus): Promise<void> {
    const { watchdog } = this.#wiring;
    await this.#put(bus, {});
    if (watchdog !== null) await bus.writeRegister(watchdog.register, watchdog.value);
    while (!this.#closing.signal.aborted) {
      await this.#poll(bus);
      if (!this.#up && this.#told) this.#rise();
      if (this.#asked.size > 0) await this.#bring(bus);
      else if (this.#options.now() - this.#checked >= CHECK_MS) await this.#check(bus);
      if (this.#late) throw this.#notTaken('what was asked for in time');
      // With contacts there is always an answer to wait for.
      if (this.#discretes.names.length === 0) await sleep(IDLE_MS);
    }
    await this.#put(bus, {});
  }

  #rise(): void {
    this.#up = true;
    this.#failures = 0;
    this.#say(`the Modbus board on ${this.#wiring.bus.path} answers`);
  }

  /** Inputs; their age counts from the first asking. */
  async #poll(bus: Bus): Promise<void> {
    const { first, names } = this.#discretes;
    if (names.length === 0) return;
    const asked = this.#options.now();
    const bits = await twice(() => bus.discretes(first, names.length));
    const levels = names.map((name, i): [string, boolean] => [
      name,
      (bits[i] ?? false) === (this.#wiring.inputs[name]?.active !== 'low'),
    ]);
    this.#sample = { levels: Object.fromEntries(levels), asked };
  }

  /** Brings the coils a step nearer to what is wanted: offs alone, then ons as their dead time ends. */
  async #bring(bus: Bus): Promise<void> {
    const { names } = this.#coils;
    const now = this.#options.now();
    const isOn = (name: string): boolean => this.#on(this.#wanted, name);
    const wasOn = (name: string): boolean => this.#on(this.#confirmed, name);
    const falls = names.some((name) => wasOn(name) && !isOn(name));
    const rises = (name: string): boolean => !falls && (this.#dead.freeAt(name) ?? Infinity) <= now;
    const next = Object.fromEntries(
      names.map((name) => [name, isOn(name) && (wasOn(name) || rises(name))]),
    );
    if (names.some((name) => next[name] !== wasOn(name))) await this.#put(bus, next);
    for (const name of names) if (isOn(name) === wasOn(name)) this.#asked.delete(name);
  }

  #on(levels: Record<string, boolean>, name: string): boolean {
    return levels[name] ?? false;
  }

  async #put(bus: Bus, levels: Record<string, boolean>): Promise<void> {
    const { first, names } = this.#coils;
    if (names.length === 0) return;
    const bits = names.map((name) => this.#on(levels, name));
    this.#dead.sent(levels);
    await bus.writeCoils(first, bits);
    // Inputs must not grow old while outputs are seen to.
    await this.#poll(bus);
    this.#confirm(await twice(() => bus.coils(first, names.length)), bits);
    this.#confirmed = levels;
    this.#dead.readBack(levels, this.#options.now());
  }

  #confirm(back: boolean[], bits: boolean[]): void {
    const wrong = this.#coils.names.filter((_, i) => (back[i] ?? false) !== bits[i]);
    if (wrong.length === 0) return;
    throw this.#notTaken(wrong.join(', '));
  }

  #notTaken(what: string): Error {
    const { path } = this.#wiring.bus;
    return new Error(
      `the Modbus board on ${path} did not take ${what}. Check its supply and its relays.`,
    );
  }

  async #check(bus: Bus): Promise<void> {
    this.#checked = this.#options.now();
    const { first, names } = this.#coils;
    if (names.length > 0) {
      const bits = names.map((name) => this.#on(this.#confirmed, name));
      this.#confirm(await twice(() => bus.coils(first, names.length)), bits);
      await this.#poll(bus);
    }
    const { volts } = this.#wiring;
    if (volts === null) return;
    const count = await twice(() => bus.inputRegister(volts.register));
    this.#volts = { volts: count * volts.voltsPerCount, at: this.#options.now() };
  }
}

/** Reading does nothing, so it is asked for once more where the answer was spoilt. */
function twice<T>(question: () => Promise<T>): Promise<T> {
  return question().catch(question);
}

function block<T>(pins: Record<string, T>, address: (pin: T) => number): Block {
  const sorted = Object.entries(pins).sort(([, a], [, b]) => address(a) - address(b));
  const first = sorted[0]?.[1];
  return { first: first === undefined ? 0 : address(first), names: sorted.map(([name]) => name) };
}
