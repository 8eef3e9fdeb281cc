/**
 * The loop around the core: owns the tick, reads every input, steps, writes every output, feeds the
 * keep-alive, and tells the records. It runs on the main thread, on which nothing touches a file, the
 * database, compression, hashing or HTTP.
 */
import type { Board } from './adapters/relays/board.ts';
import type { Records, Wall } from './adapters/records/port.ts';
import { rebase } from './core/rebase.ts';
import { initial, step, type Config, type State, type Stepped } from './core/step.ts';
import { TICK_MS, type Command, type Event, type Input, type TraceHeader } from './core/trace.ts';
import { allOff, motionOf } from './levels.ts';
import { RawBytes } from './raw-bytes.ts';
import { headerOf } from './trace-header.ts';

/** Time as the loop uses it: whole monotonic ms, and the wall clock for records only. */
export interface LoopClock {
  now(): number;
  wallAt(t: number): number;
  isSet(): boolean;
  /** A person says that it is `deltaMs` later than this clock shows. */
  vouch?(deltaMs: number): void;
}

export interface LoopOptions {
  config: Config;
  version: string;
  clock: LoopClock;
  board: Board;
  /** Name of the session that crossings belong to while no command names another. */
  session: string;
  /** A trace is ended and another begun after this long, ms. */
  traceMs?: number;
  /** Profile of the weigh head, for the trace's header; left out where no profile reads its bytes. */
  frames?: unknown;
}

/** A tick this late is not made up. */
const LATE_MS = TICK_MS;
const HOUR_MS = 3_600_000;
const NOT_NOW = 'Stop first, with nobody on the crate: then this can be changed.';

/** What the loop tells the records. */
export type LoopRecords = Pick<Records, 'input' | 'output' | 'event' | 'crossing' | 'rotate'>;

type Listener = (events: Event[], t: number) => void;

/** The loop around the core. Nothing runs before `pump` is called. */
export class Loop {
  readonly counts = { ticks: 0, late: 0, longestGapMs: 0 };
  state: State;
  /** What the last step gave; null before the first. */
  last: Stepped | null = null;
  #config: Config;
  readonly #options: LoopOptions;
  #records: LoopRecords | null = null;
  /** Clock time at the trace's t = 0. */
  #origin: number;
  #nextTick = 0;
  #lastT = 0;
  #tickedAt: number;
  /** Time stands at 0 until the first pump: what is started before it makes no tick late. */
  #begun = false;
  #traceEnds = false;
  #ended = false;
  #inputsUp = true;
  #relaysUp = true;
  #volts: { volts: number; t: number } | null = null;
  #levels: Record<string, boolean> = {};
  #seen: Record<string, boolean> = {};
  #listeners: Listener[] = [];
  readonly #raw = new RawBytes((record) => this.#records?.input(record));

  constructor(options: LoopOptions) {
    this.#options = options;
    this.#config = options.config;
    this.state = initial(options.config);
    this.#origin = options.clock.now();
    this.#tickedAt = this.#origin;
  }

  /** The records are told everything from now on. */
  keep(records: LoopRecords): void {
    this.#records = records;
  }

  get config(): Config {
    return this.#config;
  }

  /** Why no other configuration can be taken now, in words; null where it can. */
  whyNotReconfigure(): string | null {
    return this.state.cycle.mode === 'stopped' && idle(this.state) ? null : NOT_NOW;
  }

  /** From now on another configuration holds good; to be asked for only where nothing is against it. */
  reconfigure(config: Config): void {
    const t = this.#arrival();
    if (this.whyNotReconfigure() !== null) throw new Error(NOT_NOW);
    this.#config = config;
    this.#give({ t, config });
  }

  /** Header of the trace that begins now. */
  header(): TraceHeader {
    const { version, frames } = this.#options;
    return headerOf(this.#config, version, this.#wall(0), frames);
  }

  /** Time on the current trace's clock, ms. */
  t(): number {
    return this.#begun ? this.#options.clock.now() - this.#origin : 0;
  }

  /** ms until the next tick is due. */
  untilTick(): number {
    return Math.max(0, this.#nextTick - this.t());
  }

  /** Runs every tick that is due; the first call begins time. */
  pump(): void {
    if (!this.#begun) this.#origin = this.#tickedAt = this.#options.clock.now();
    this.#begun = true;
    this.#pumpBefore(this.t() + 1);
  }

  /** Something has arrived: ticks due before it run first, then it is given its time. */
  arrive(make: (t: number) => Input): void {
    this.#give(make(this.#arrival()));
  }

  /** Raw bytes of the weigh head: kept beside the readings, never given to the core. */
  bytes(bytes: Uint8Array): void {
    this.#raw.take(bytes, this.#arrival());
  }

  /** The service goes: everything is off at once, and nothing is taken any more. */
  end(): void {
    this.command({ do: 'stop' });
    // Whatever a stop leaves to itself, such as a leaf that is being freed by hand.
    this.#options.board.write(motionOf(allOff(this.#levels)));
    this.#ended = true;
  }

  /** A person's command: taken, or refused with the reason in words. */
  command(command: Command): { ok: boolean; reason?: string } {
    if (this.#ended) return { ok: false, reason: 'The service is being stopped.' };
    let answer: { ok: boolean; reason?: string } = { ok: true };
    const listen: Listener = (events) => {
      for (const e of events) if (e.kind === 'refused') answer = { ok: false, reason: e.reason };
    };
    this.#listeners.push(listen);
    this.arrive((t) => ({ t, command: named(command, this.#options.session, this.state) }));
    this.#listeners = this.#listeners.filter((l) => l !== listen);
    return answer;
  }

  /** The trace has lost lines: another begins as soon as nothing is on the crate or moves. */
  endTrace(): void {
    this.#traceEnds = true;
  }

  onEvents(listener: Listener): void {
    this.#listeners.push(listener);
  }

  #wall(t: number): Wall {
    const { clock } = this.#options;
    return { atMs: clock.wallAt(this.#origin + t), clockSet: clock.isSet() };
  }

  /** Never before what was given last, and never at a tick that has already run. */
  #arrival(): number {
    this.#pumpBefore(this.t());
    return Math.max(this.#lastT, this.t(), this.#nextTick - TICK_MS + 1);
  }

  #pumpBefore(end: number): void {
    while (this.#nextTick < end && !this.#ended) {
      const t = end - 1;
      const late = t - this.#nextTick;
      if (late < LATE_MS) {
        this.#tick(this.#nextTick);
        continue;
      }
      this.counts.late += 1;
      this.#nextTick = (Math.floor(t / TICK_MS) + 1) * TICK_MS;
      this.#give({ t, late });
      return;
    }
  }

  /** Reads every input, gives what changed, then the tick; one keep-alive edge, last of all. */
  #tick(due: number): void {
    const over = this.#traceEnds || due >= (this.#options.traceMs ?? HOUR_MS);
    const t = over && idle(this.state) ? this.#rotate(due) : due;
    this.#readBoard(t);
    this.#give({ t, tick: true });
    this.#nextTick = t + TICK_MS;
    const now = this.#options.clock.now();
    this.counts.ticks += 1;
    this.counts.longestGapMs = Math.max(this.counts.longestGapMs, now - this.#tickedAt);
    this.#tickedAt = now;
    // Written again although nothing changed: a board that no longer takes it must be found out.
    if (this.#relaysUp) this.#relaysUp = this.#options.board.write(motionOf(this.#levels));
    const fed = this.#levels['keepAlive'] === true && this.#relaysUp && this.#inputsUp;
    if (fed) this.#options.board.edge();
  }

  #readBoard(t: number): void {
    const { board } = this.#options;
    const read = board.read();
    const up = read !== null;
    if (up !== this.#inputsUp) this.#give({ t, link: 'inputs', up });
    this.#inputsUp = up;
    if (!this.#relaysUp) this.#relaysUp = board.write(motionOf(this.#levels));
    if (this.#relaysUp !== this.state.interlock.supply.relays) {
      this.#give({ t, link: 'relays', up: this.#relaysUp });
    }
    for (const [input, on] of Object.entries(read ?? {})) {
      if ((this.#seen[input] ?? false) !== on) this.#give({ t, input, on });
    }
    this.#seen = read ?? this.#seen;
    const volts = board.volts();
    if (volts !== null && worthSending(this.#volts, volts, t)) {
      this.#volts = { volts, t };
      this.#give({ t, volts });
    }
  }

  /** Gives one input to the core, its outputs to the board, and all of it to the records. */
  #give(input: Input): void {
    if (this.#ended) return;
    this.#lastT = input.t;
    this.#raw.see(input);
    const stepped = step(this.#config, this.state, input);
    this.last = stepped;
    this.state = stepped.state;
    this.#actuate(input.t, stepped.outputs, input);
    for (const event of stepped.events) this.#report(input.t, event);
    for (const listener of this.#listeners) listener(stepped.events, input.t);
  }

  #actuate(t: number, outputs: Record<string, boolean>, input: Input): void {
    const changed = Object.entries(outputs).filter(
      ([name, on]) => (this.#levels[name] ?? false) !== on,
    );
    this.#levels = outputs;
    if (changed.length > 0) {
      this.#relaysUp = this.#options.board.write(motionOf(Object.fromEntries(changed)));
    }
    // Recorded after the board has been written: the leaf does not wait for the record.
    if (!('tick' in input)) this.#records?.input(input);
    for (const [output, on] of changed) this.#records?.output(t, output, on);
  }

  #report(t: number, event: Event): void {
    const records = this.#records;
    if (records === null) return;
    const known = this.state.cycle.session;
    const session = String(known ?? this.#options.session);
    // Before the first start there is no session that an event could belong to.
    records.event(t, event, known === null ? null : session, this.#wall(t));
    if (event.kind === 'let-go') records.crossing(event.crossing, session, false, this.#wall(t));
    if (event.kind === 'left') records.crossing(event.crossing, session, true, this.#wall(t));
  }

  /** Ends the trace and begins another whose t = 0 is this tick. */
  #rotate(t: number): number {
    this.state = rebase(this.state, t);
    this.#origin += t;
    this.#raw.end(t);
    [this.#lastT, this.#levels, this.#traceEnds] = [0, {}, false];
    if (this.#volts !== null) this.#volts = { ...this.#volts, t: this.#volts.t - t };
    this.#records?.rotate(this.header(), this.state);
    return 0;
  }
}

/** A start that names no session begins or goes on with the one that is set, else the loop's own. */
function named(command: Command, session: string, state: State): Command {
  if (command.do !== 'start' || command.session !== undefined) return command;
  const { session: known, nextAnimal, counts } = state.cycle;
  return { ...command, session: known ?? session, nextAnimal, counts };
}

/** Nothing is on the crate and nothing moves: a trace may end here. */
function idle(state: State): boolean {
  return state.cycle.animal === null && !state.gate.moving;
}

function worthSending(
  sent: { volts: number; t: number } | null,
  volts: number,
  t: number,
): boolean {
  if (sent === null) return true;
  return Math.abs(volts - sent.volts) >= 0.05 || t - sent.t >= 1000;
}
