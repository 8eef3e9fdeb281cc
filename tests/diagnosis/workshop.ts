/**
 * A morning at the simulated yard with one thing wrong: the real loop on a board and a line that the
 * test breaks, and the trace that it leaves. All figures are invented.
 */
import { harmSite } from '../harm/site.ts';
import { STEP_MS } from '../../simulator/circuit.ts';
import { frame } from '../../simulator/frames.ts';
import type { Seen } from '../../simulator/operator.ts';
import { createRandom } from '../../simulator/random.ts';
import { createWeighHead, type WeighHeadOptions } from '../../simulator/weigh-head.ts';
import { Yard } from '../../simulator/yard.ts';
import { fakeClock } from '../../src/adapters/clock/clock.ts';
import { createSimulatedBoard } from '../../src/adapters/relays/simulated.ts';
import { createDecoder } from '../../src/config/frames/decode.ts';
import { loadProfile } from '../../src/config/profiles.ts';
import { version } from '../../src/cli/version.ts';
import { TICK_MS } from '../../src/core/trace.ts';
import { Loop } from '../../src/loop.ts';

/** What is wrong; everything left out is as it should be. */
export interface Wrong {
  head?: Partial<WeighHeadOptions>;
  /** The platform swings by so much, so often a second. */
  swing?: { kg: number; hertz: number };
  /** Something leans on the crate for a while, again and again. */
  touch?: { kg: number; everyMs: number; forMs: number };
  /** A loose bar seats itself anew after each load, within this. */
  looseKg?: number;
  /** Muck on the platform, so much more with each animal. */
  muckKg?: number;
  /** Share of a load that goes past the bars, and a known mass before the work. */
  past?: { share: number; knownKg: number };
  /** The stop is pressed until then. */
  idleUntil?: number;
  /** Share of bytes that the wire changes. */
  garbled?: number;
  /** The weigh head sends nothing between these times. */
  silent?: { from: number; to: number };
  /** The weigh head repeats one reading from here on. */
  frozenFrom?: number;
  volts?: { rest: number; moving: number };
  quickness?: number;
  /** A contact that bounces, drops out, or is stuck, from `FROM_MS` on. */
  bounces?: string;
  drops?: string;
  stuck?: { contact: string; on: boolean };
  /** Broken parts of the circuit (see `simulator/circuit.ts`), from `FROM_MS` on. */
  broken?: string;
  /** The program stands still once, ms. */
  stallMs?: number;
  /** Somebody presses stop on the page. */
  stopsAt?: number;
  /** From then on it is wrong, where it is not from the beginning; `FROM_MS` if not said. */
  from?: number;
  lastsMs?: number;
  gate?: string;
  animals?: number;
  seed?: number;
}

/** Until then everything works. */
const FROM_MS = 12_000;
const LASTS_MS = 45_000;

/** Runs it and gives the text of the trace. */
export function morning(wrong: Wrong): string {
  return new Morning(wrong).run();
}

class Morning {
  readonly #wrong: Wrong;
  readonly #random;
  readonly #yard: Yard;
  readonly #head;
  readonly #decoder;
  readonly #clock = fakeClock(Date.UTC(2026, 8, 14, 6));
  readonly #board;
  readonly #loop: Loop;
  readonly #lines: object[] = [];
  #edges = 0;
  #offsetKg = 0;
  #loaded = false;
  #frozen: number | null = null;
  #linkUp = true;
  #shown: Record<string, boolean> = {};
  readonly #changedAt = new Map<string, number>();

  constructor(wrong: Wrong) {
    this.#wrong = wrong;
    this.#random = createRandom(wrong.seed ?? 41);
    const site = harmSite(wrong.gate ?? 'three-way-switched', 'along');
    const config = {
      ...site.config,
      battery: { lowVolts: 11.5, loadVolts: 10.5, warnVolts: 11.9, staleMs: 10_000 },
    };
    const { exitFor } = site;
    this.#yard = new Yard(this.#random.branch(1), {
      ...{ gate: config.gate, beams: 'along' as const, animals: wrong.animals ?? 6 },
      ...{ walkThrough: false, unseen: null, exitFor },
    });
    this.#yard.circuit.quickness = wrong.quickness ?? 0.8;
    const scale = { divisionKg: 0.1, rateHz: 10 };
    this.#head = createWeighHead(this.#random.branch(2), { ...scale, ...wrong.head });
    const loaded = loadProfile('scale', 'plain-continuous', null);
    if (loaded?.ok !== true) throw new Error('the shipped profile is missing');
    this.#decoder = createDecoder(loaded.value);
    const volts = (): number => this.#volts();
    this.#board = { ...createSimulatedBoard(config.inputs), volts, shown: {}, edges: 0 };
    const board = {
      ...this.#board,
      read: () => ({ ...this.#shown }),
      edge: () => {
        this.#edges += 1;
      },
    };
    const frames = loaded.value;
    const clock = this.#clock;
    this.#loop = new Loop({ config, version: version(), clock, board, session: 'a', frames });
  }

  run(): string {
    this.#lines.push(this.#loop.header(), { t: 0, state: this.#loop.state });
    this.#loop.keep({
      input: (record) => this.#lines.push(record),
      output: (t, output, on) => this.#lines.push({ t, output, on }),
      event: (t, event) => this.#lines.push({ t, event }),
      crossing: () => undefined,
      rotate: () => {
        throw new Error('this morning is one trace');
      },
    });
    const { lastsMs = LASTS_MS } = this.#wrong;
    for (let t = 0; t < lastsMs && !this.#yard.over(); t = this.#next(t)) this.#tick(t);
    return this.#lines.map((line) => `${JSON.stringify(line)}\n`).join('');
  }

  #next(t: number): number {
    const { stallMs = 0 } = this.#wrong;
    const stall = t === FROM_MS ? stallMs : 0;
    this.#clock.advance(TICK_MS + stall);
    return t + TICK_MS + stall;
  }

  #tick(t: number): void {
    const { broken, idleUntil = 0, from = FROM_MS } = this.#wrong;
    this.#yard.stopPressed = t < idleUntil;
    const seen = this.#seen();
    const parts = new Set(broken !== undefined && t >= from ? [broken] : []);
    for (let at = t - TICK_MS + STEP_MS; at <= t; at += STEP_MS) {
      this.#yard.advance(at, seen, this.#edges > 0, parts);
      this.#edges = 0;
      if (at >= 0) this.#weigh(at);
    }
    for (const command of this.#yard.attend(t, seen)) this.#loop.command(command);
    if (t === this.#wrong.stopsAt) this.#loop.command({ do: 'stop' });
    this.#read(t);
    this.#loop.pump();
  }

  #seen(): Seen {
    const { cycle, gate, faults } = this.#loop.state;
    const called = (cycle.animal?.calledAt ?? null) !== null;
    const overdue = faults.active.some((f) => f.fault === 'position-unproved');
    return {
      levels: this.#loop.last?.outputs ?? {},
      mode: cycle.mode,
      asksForLook: gate.laneNeedsConfirm || called || overdue,
      asksForEmptyCrate: gate.waits.includes('crate'),
      asksForHoming: called && gate.waits.includes('position'),
    };
  }

  #forceKg(t: number): number {
    const { past, swing, touch } = this.#wrong;
    const own = this.#yard.forceKg(t);
    this.#seat(own > 10);
    const mass = past !== undefined && t >= 3000 && t < 8000 ? past.knownKg : 0;
    let kg = (own + mass) * (1 - (past?.share ?? 0));
    // Animals of the yard stand like rocks; these do not.
    if (own > 10) kg += 0.4 * this.#random.normal();
    if (swing !== undefined) kg += swing.kg * triangle((t * swing.hertz) / 1000);
    if (touch !== undefined && t % touch.everyMs < touch.forMs) kg += touch.kg;
    return kg + this.#offsetKg;
  }

  /** What changes with each load. */
  #seat(loaded: boolean): void {
    const { looseKg, muckKg = 0 } = this.#wrong;
    if (this.#loaded && !loaded) {
      if (looseKg !== undefined) this.#offsetKg = this.#random.between(-looseKg, looseKg);
      this.#offsetKg += muckKg;
    }
    this.#loaded = loaded;
  }

  #weigh(t: number): void {
    const reading = this.#head.sample(t, this.#forceKg(t));
    const { silent, frozenFrom } = this.#wrong;
    const away = silent !== undefined && t >= silent.from && t < silent.to;
    // Silence decides: the line counts as lost a second after its last frame.
    const lost = silent !== undefined && away && t >= silent.from + 1000;
    if (this.#linkUp ? lost : !away) {
      this.#linkUp = !away;
      this.#loop.arrive((at) => ({ t: at, link: 'scale', up: this.#linkUp }));
    }
    if (reading === null || away) return;
    let { kg } = reading;
    if (frozenFrom !== undefined && t >= frozenFrom && (this.#frozen ?? kg ?? 0) > 20) {
      this.#frozen ??= kg;
      kg = this.#frozen;
    }
    this.#send(frame(kg, reading.motion, reading.status));
  }

  #send(text: string): void {
    const { garbled = 0 } = this.#wrong;
    const bytes = Buffer.from(text, 'latin1').map((byte) =>
      garbled > 0 && this.#random.chance(garbled) ? byte ^ 16 : byte,
    );
    this.#loop.bytes(bytes);
    for (const { kg, motion, status } of this.#decoder.push(bytes)) {
      this.#loop.arrive((t) => ({
        ...{ t, kg },
        ...(motion === undefined ? {} : { motion }),
        ...(status === undefined ? {} : { status }),
      }));
    }
  }

  #read(t: number): void {
    const truth = this.#yard.contacts();
    for (const name of this.#loop.config.inputs) {
      const on = truth[name] ?? false;
      if (on !== (this.#shown[name] ?? false))
        this.#changedAt.set(name, this.#changedAt.get(name) ?? t);
      this.#shown[name] = t < (this.#wrong.from ?? FROM_MS) ? on : this.#spoilt(name, on, t);
      if (on === this.#shown[name]) this.#settle(name, t);
    }
  }

  #settle(name: string, t: number): void {
    if (t - (this.#changedAt.get(name) ?? t) >= 100) this.#changedAt.delete(name);
  }

  #spoilt(name: string, on: boolean, t: number): boolean {
    const { bounces, drops, stuck } = this.#wrong;
    const since = t - (this.#changedAt.get(name) ?? -Infinity);
    if (name === bounces && since > 0 && since < 60) return (since / TICK_MS) % 2 === 0 ? on : !on;
    if (name === drops && t % 6100 < 40) return !on;
    return name === stuck?.contact ? stuck.on : on;
  }

  #volts(): number {
    const { volts } = this.#wrong;
    const moving = this.#yard.circuit.currents().length > 0;
    const usual = { rest: 12.5, moving: 12.1 };
    return (volts ?? usual)[moving ? 'moving' : 'rest'];
  }
}

/** To and fro between -1 and 1, once for each whole of `turns`. */
function triangle(turns: number): number {
  const share = turns % 1;
  return share < 0.5 ? 4 * share - 1 : 3 - 4 * share;
}
