/** A short day at one gate with every input wired, for breaking one wire at one moment of it. */
import { harmSite } from '../harm/site.ts';
import { initial, step, type Config, type State } from '../../src/core/step.ts';
import { TICK_MS, type Event, type Input } from '../../src/core/trace.ts';
import { readAs, sends, volts, type WireFault } from './faults.ts';

export const BUTTONS = ['pause', 'undo', 'zero', 'answer'].map((name) => `${name}Button`);
export const CONTACTS = [
  ...['frontShut', 'backShut', 'handsOff', 'laneClear', 'laneClear.left'],
  ...['stopLoop', 'actuatorPower', 'leafA.extended', 'leafA.retracted'],
  ...['startButton', 'exitButton.left', ...BUTTONS],
];
export const WIRES = [...CONTACTS, 'volts', 'scale', 'reader'];
export const STATES = [
  ...['empty', 'coming on', 'weighing', 'moving', 'in place', 'leaving'],
  ...['stopped', 'paused', 'homing', 'fitting'],
] as const;
export type DayState = (typeof STATES)[number];

/** Heavy, light, heavy …: each animal needs a stroke. */
const KG = [50, 30, 50, 30, 50, 30];
const AFTER_MS = 22_000;
const STROKE_MS = 640;

export function dayConfig(reader: boolean): Config {
  const { config } = harmSite('three-way-switched', 'along');
  const { plan } = config;
  const tags = { lists: [], withdrawal: { exit: 'left' }, unread: 'hold' as const };
  return {
    ...config,
    inputs: [...CONTACTS, 'leafB.extended', 'leafB.retracted'],
    battery: { lowVolts: 11.5, staleMs: 10_000 },
    crate: { ...config.crate, kind: 'clamp' },
    plan: reader ? { ...plan, tags } : plan,
  };
}

type Phase = { name: 'gap' | 'on' | 'out' | 'shutting'; at: number };

/** What came of it. */
export interface DayEnd {
  faults: string[];
  strokes: number;
  events: Event[];
}

export class Day {
  readonly #config: Config;
  readonly #wire: string;
  readonly #fault: WireFault | null;
  readonly #when: DayState;
  state: State;
  #t = 0;
  #phase: Phase = { name: 'gap', at: 2500 };
  #animal = -1;
  #levels: Record<string, boolean> = {};
  #shown: Record<string, boolean> = {};
  #places: Record<string, number> = { leafA: 0.3, leafB: 0.3 };
  #injectedAt: number | null = null;
  #reachedAt: number | null = null;
  #frozen = { on: false, kg: 0 };
  #readyAt: number | null = null;
  #pressUntil = 0;
  #fitted = false;
  readonly #after: Event[] = [];

  constructor(wire: string, fault: WireFault | null, when: DayState) {
    this.#config = dayConfig(wire === 'reader');
    this.#wire = wire;
    this.#fault = fault;
    this.#when = when;
    this.state = initial(this.#config);
  }

  run(): DayEnd {
    for (; this.#t < 120_000; this.#t += TICK_MS) {
      if (this.#injectedAt !== null && this.#t > this.#injectedAt + AFTER_MS) break;
      this.#tick();
    }
    if (this.#injectedAt === null) throw new Error(`never ${this.#when}`);
    const faults = this.#after.flatMap((e) => (e.kind === 'fault' && e.on ? [e.fault] : []));
    const begun = this.#after.filter((e) => e.kind === 'stroke' && e.phase === 'begun');
    return { faults: [...new Set(faults)], strokes: begun.length, events: this.#after };
  }

  #tick(): void {
    const t = this.#t;
    this.#move();
    this.#race(t);
    if (this.#injectedAt === null && this.#isThere()) {
      this.#injectedAt = t;
      this.#frozen = { on: this.#truth(this.#wire), kg: this.#kg() };
    }
    this.#people(t);
    if (t % 100 === 0) this.#weigh(t);
    if (t % 1000 === 0) this.#battery(t);
    for (const name of this.#config.inputs) {
      const on = this.#reads(name, t);
      if ((this.#shown[name] ?? false) !== on) this.#give({ t, input: name, on });
      this.#shown[name] = on;
    }
    this.#give({ t, tick: true });
  }

  #broken(wire: string): WireFault | null {
    return this.#injectedAt !== null && wire === this.#wire ? this.#fault : null;
  }

  #reads(name: string, t: number): boolean {
    return readAs(this.#broken(name), this.#truth(name), this.#frozen.on, t);
  }

  #weigh(t: number): void {
    const fault = this.#broken('scale');
    if (!sends(fault, t)) return;
    const kg = fault === 'frozen' ? this.#frozen.kg : this.#kg();
    this.#give({ t, kg });
  }

  #battery(t: number): void {
    const read = volts(this.#broken('volts'), t);
    if (read !== null) this.#give({ t, volts: read });
  }

  #kg(): number {
    const { name, at } = this.#phase;
    const kg = KG[this.#animal] ?? 0;
    const tremor = this.#t % 300 === 0 ? 0.1 : 0;
    if (name === 'on') return Math.min(kg, (kg * (this.#t - at + 100)) / 400) + tremor;
    return name === 'out' && this.#t - at < 500 ? kg : 0;
  }

  #truth(name: string): boolean {
    const { name: phase, at } = this.#phase;
    const since = this.#t - at;
    const live = this.#levels['keepAlive'] === true;
    if (name === 'frontShut') return phase !== 'out';
    if (name.startsWith('laneClear')) return phase !== 'out' || since < 400 || since > 1100;
    if (name === 'actuatorPower') return live;
    if (name === 'startButton') return this.#t < this.#pressUntil;
    if (name.endsWith('Button') || name.startsWith('exitButton')) return false;
    const [leaf, end] = name.split('.');
    const place = this.#places[leaf ?? ''];
    if (place === undefined) return true;
    return end === 'extended' ? place >= 1 : place <= 0;
  }

  #move(): void {
    for (const leaf of Object.keys(this.#places)) {
      const extend = this.#levels[`${leaf}.extend`] === true;
      const retract = this.#levels[`${leaf}.retract`] === true;
      const way = TICK_MS / STROKE_MS;
      const place = (this.#places[leaf] ?? 0) + (extend ? way : 0) - (retract ? way : 0);
      this.#places[leaf] = Math.min(1, Math.max(0, place));
    }
  }

  #race(t: number): void {
    const { name, at } = this.#phase;
    const running = this.state.cycle.mode === 'running';
    if (name === 'gap' && t - at >= 800 && running && this.#mayCome()) {
      this.#animal += 1;
      this.#phase = { name: 'on', at: t };
      const tag = `99900000000${1000 + this.#animal}`;
      this.#tag(t, tag);
    }
    if (name === 'on') {
      const ready = (this.state.cycle.animal?.readyAt ?? null) !== null;
      this.#readyAt = ready ? (this.#readyAt ?? t) : null;
      if (this.#readyAt !== null && t - this.#readyAt >= 600) this.#phase = { name: 'out', at: t };
    }
    if (name === 'out' && t - at >= 1200) this.#phase = { name: 'gap', at: t };
  }

  /** In the states with nothing on the crate nobody comes on before the wire has broken. */
  #mayCome(): boolean {
    const waits = ['stopped', 'paused', 'fitting'].includes(this.#when);
    return this.#animal < 1 || this.#injectedAt !== null || !waits;
  }

  #tag(t: number, tag: string): void {
    const fault = this.#broken('reader');
    if (!sends(fault, t)) return;
    const read = fault === 'frozen' ? '999000000001000' : tag;
    this.#give({ t, tag: read, known: { held: false, list: null, lastKg: null, lastDays: null } });
  }

  /** The second animal at the moment that is asked for. */
  #isThere(): boolean {
    const { cycle, gate } = this.state;
    const { name, at } = this.#phase;
    if (this.#when === 'homing') return cycle.mode === 'homing' && gate.moving;
    if (this.#when === 'stopped' || this.#when === 'paused')
      return cycle.mode === this.#when && this.#animal === 1;
    if (this.#when === 'fitting') return cycle.mode === 'fitting' && gate.moving;
    if (this.#animal !== 1) return false;
    const since = this.#t - at;
    if (this.#when === 'empty') return name === 'gap' && since >= 400;
    if (this.#when === 'leaving') return name === 'out' && since >= 200;
    if (name !== 'on') return false;
    if (this.#when === 'coming on') return since >= 200;
    if (this.#when === 'weighing') return since >= 500 && cycle.animal?.decision === null;
    if (this.#when === 'moving') return gate.moving && since > 600;
    return this.#readyAt !== null && this.#t - this.#readyAt >= 200;
  }

  #people(t: number): void {
    const { cycle, gate } = this.state;
    if (t === 1000) this.#press(t);
    const idle = this.#phase.name === 'gap' && this.#animal === 1 && this.#injectedAt === null;
    if (idle && this.#reachedAt === null && t - this.#phase.at >= 300) this.#interrupt(t);
    const since = this.#injectedAt === null ? 0 : t - this.#injectedAt;
    if (this.#when === 'fitting' && this.#reachedAt !== null) this.#fit(t, since);
    if (since === 2000 && cycle.mode !== 'running') this.#press(t);
    if (since === 4000 && (cycle.mode === 'stopped' || cycle.mode === 'paused')) {
      this.#give({ t, command: { do: 'start' } });
      this.#give({ t, command: { do: 'confirm' } });
    }
    if (this.#injectedAt === null && gate.laneNeedsConfirm && t % 1000 === 0 && t > 2000) {
      this.#give({ t, command: { do: 'confirm' } });
    }
  }

  #press(t: number): void {
    this.#pressUntil = t + 300;
  }

  #interrupt(t: number): void {
    this.#reachedAt = t;
    if (this.#when === 'paused') this.#give({ t, command: { do: 'pause' } });
    if (this.#when === 'stopped' || this.#when === 'fitting') {
      this.#give({ t, command: { do: 'stop' } });
    }
  }

  /** A finger holds a leaf's button for a second and a half, then the fitting is left. */
  #fit(t: number, since: number): void {
    const from = this.#reachedAt ?? t;
    const extended = (this.#places['leafA'] ?? 0) >= 1;
    if (t - from > 400 && since < 400 && !this.#fitted && t % 60 === 0) {
      const output =
        extended || this.#levels['leafA.retract'] === true ? 'leafA.retract' : 'leafA.extend';
      this.#give({ t, command: { do: 'hold', output } });
    }
    if (since >= 1000 && !this.#fitted) {
      this.#fitted = true;
      this.#give({ t, command: { do: 'stop' } });
    }
  }

  #give(input: Input): void {
    const stepped = step(this.#config, this.state, input);
    this.state = stepped.state;
    this.#levels = stepped.outputs;
    if (this.#injectedAt !== null) this.#after.push(...stepped.events);
  }
}
