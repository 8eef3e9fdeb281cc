/**
 * The race with bodies: animals of a seed, the operator at the front of the crate with the wired start
 * button, a person who reaches in, the lane, and the circuit. Chances and times are invented; animals
 * are livelier, and people less careful, than they should be.
 */
import type { GateConfig } from '../src/core/interlock/gate.ts';
import { Lane, person, type Beams, type Body, type Stretch } from './bodies.ts';
import { Circuit, STEP_MS } from './circuit.ts';
import { Operator, type Seen } from './operator.ts';
import type { Command } from '../src/core/trace.ts';
import type { Random } from './random.ts';

export interface YardOptions {
  gate: GateConfig;
  beams: Beams;
  /** Animals in the mob. */
  animals: number;
  /** The back stands open: the next animal may follow at once. */
  walkThrough: boolean;
  /** The exit for a true weight. */
  exitFor: (kg: number) => string;
  /** Something that no contact can see happens with every third animal. */
  unseen: 'reaching' | 'jumping' | null;
}

interface Lamb {
  kg: number;
  onAt: number;
  body: Body;
  going: boolean;
}

/** A body that is about to be where no contact sees it. */
interface Reach {
  body: Body;
  fromAt: number;
  untilAt: number;
  stops: boolean;
}

const LAMB_MM = 900;
const ARM_MM = 100;
const PERSON_MM = 400;
/** Far behind every way. */
const FAR_MM = 6000;

export class Yard {
  readonly circuit: Circuit;
  readonly lane: Lane;
  readonly operator: Operator;
  /** Animals that have gone out by the lane. */
  gone = 0;
  stopPressed = false;
  readonly #random: Random;
  readonly #options: YardOptions;
  #left: number;
  #nextAt = 2500;
  #lambs: Lamb[] = [];
  #frontShutAt: number | null = null;
  #frontOpen = false;
  #lastOut: Body | null = null;
  #reaching: Reach | null = null;

  constructor(random: Random, options: YardOptions) {
    this.#random = random;
    this.#options = options;
    this.#left = options.animals;
    this.circuit = new Circuit(options.gate, random.between(0.75, 1));
    this.lane = new Lane(options.gate, options.beams);
    this.operator = new Operator(random.branch(1), options.exitFor);
  }

  /** One step of `STEP_MS` up to time t. */
  advance(t: number, seen: Seen, edge: boolean, broken: ReadonlySet<string>): void {
    const { levels } = seen;
    const dead = !this.circuit.railLive() && this.lane.empty() && !this.stopPressed;
    const resetPressed = this.operator.resets(t, dead, seen);
    this.circuit.advance({ levels, edge, stopPressed: this.stopPressed, resetPressed, broken });
    this.lane.advance(STEP_MS, (leaf) => this.circuit.place(leaf));
    this.#reach(t);
    if (t % 20 !== 0) return;
    this.#crate(t, seen);
  }

  /** What the operator says and presses, once a tick. */
  attend(t: number, seen: Seen): Command[] {
    const held = this.#frontOpen ? undefined : this.#held();
    const fit = this.lane.empty() && !this.#frontOpen;
    return [
      ...this.operator.says(t, held ?? null),
      ...this.operator.looks(t, seen, fit, this.stopPressed),
    ];
  }

  /** Everybody has passed. */
  over(): boolean {
    return this.#left === 0 && this.#lambs.length === 0 && this.lane.bodies.length === 0;
  }

  /** Animals that have stepped on. */
  begun(): number {
    return this.#options.animals - this.#left;
  }

  frontOpen(): boolean {
    return this.#frontOpen;
  }

  /** The animal that the front was opened for last. */
  lastOut(): Body | null {
    return this.#lastOut;
  }

  /** Force on the platform at time t, as weight in kg. */
  forceKg(t: number): number {
    let kg = 0;
    for (const lamb of this.#lambs) {
      const on = Math.min(1, 0.5 * Math.ceil((t - lamb.onAt + 1) / 200));
      const { headMm } = lamb.body;
      kg += lamb.kg * on * (headMm < 250 ? 1 : headMm < 800 ? 0.45 : 0);
    }
    return kg;
  }

  /** Levels of all contacts but the buttons, as they would be read with sound wires. */
  contacts(): Record<string, boolean> {
    return {
      frontShut: !this.#frontOpen,
      backShut: true,
      handsOff: true,
      stopLoop: !this.stopPressed,
      actuatorPower: this.circuit.railLive(),
      startButton: this.operator.pressing,
      ...this.lane.clear(),
      ...this.circuit.switches(),
    };
  }

  /** The animal that stands on the crate and is still to be let go, if any. */
  #held(): Lamb | undefined {
    return this.#lambs.find((lamb) => !lamb.going);
  }

  #crate(t: number, seen: Seen): void {
    this.#forget();
    const held = this.#held();
    if (held !== undefined && !this.#frontOpen && this.operator.opens(t, held.onAt, seen)) {
      this.#open(t, held);
    } else if (this.#frontOpen) this.#shut(t);
    else if (held === undefined && t >= this.#nextAt && seen.mode === 'running') this.#stepOn(t);
  }

  #forget(): void {
    this.#lambs = this.#lambs.filter((lamb) => {
      const onPlatform = lamb.body.headMm < 800;
      if (!onPlatform && !this.lane.bodies.includes(lamb.body)) {
        this.gone += 1;
        return false;
      }
      return true;
    });
  }

  #stepOn(t: number): void {
    if (this.#left === 0) return;
    this.#left -= 1;
    const own = this.#random.branch(this.#left + 100);
    const kg = Math.round((41 + 6 * own.normal()) * 10) / 10;
    const body: Body = {
      who: 'animal',
      headMm: 0,
      lengthMm: LAMB_MM,
      turned: null,
      way: [],
      waitMs: 0,
    };
    this.#lambs.push({ kg: Math.min(60, Math.max(20, kg)), onAt: t, body, going: false });
    this.operator.watches(own);
    this.#somebody(t, own);
  }

  #open(t: number, lamb: Lamb): void {
    this.#frontOpen = true;
    this.#lastOut = lamb.body;
    this.#frontShutAt = null;
    this.#sendOff(lamb, this.#random.between(0, 900));
    this.#nextAt = t;
  }

  #sendOff(lamb: Lamb, waitMs: number): void {
    lamb.going = true;
    lamb.body.waitMs = waitMs;
    lamb.body.way = this.#wayOut();
    this.lane.bodies.push(lamb.body);
  }

  /** Out, at times with a halt, a turn back into the crate, or a turn back into the lane. */
  #wayOut(): Stretch[] {
    const r = this.#random;
    const speed = r.between(600, 2200);
    const out: Stretch = { toMm: FAR_MM, speed, thenWaitMs: 0 };
    if (r.chance(0.005)) {
      return [
        { toMm: 500, speed, thenWaitMs: 300 },
        { toMm: 0, speed, thenWaitMs: r.between(0, 3000) },
        out,
      ];
    }
    if (r.chance(0.06)) {
      return [{ toMm: r.between(300, 2500), speed, thenWaitMs: r.between(500, 15_000) }, out];
    }
    if (!r.chance(0.02)) return [out];
    const into = r.between(1000, 2500);
    return [
      { toMm: FAR_MM - 1, speed, thenWaitMs: r.between(0, 3000) },
      { toMm: into, speed: r.between(800, 2200), thenWaitMs: r.between(200, 8000) },
      out,
    ];
  }

  /** The front is shut behind it; where the back stands open another may come on before. */
  #shut(t: number): void {
    if (this.lane.doorway() || this.#lambs.some((l) => l.going && l.body.headMm < 900)) {
      this.#frontShutAt = null;
      return;
    }
    if (this.#frontShutAt === null) {
      this.#frontShutAt = t + this.#random.between(200, 1000);
      if (!this.#options.walkThrough || this.#held() !== undefined) return;
      if (this.#random.chance(0.2)) this.#stepOn(t);
      const next = this.#held();
      if (next !== undefined && this.#random.chance(0.2)) this.#sendOff(next, 600);
      return;
    }
    if (t < this.#frontShutAt) return;
    this.#frontOpen = false;
    this.#nextAt = t + this.#random.between(200, 1500);
  }

  /** Somebody comes near while this animal is on. */
  #somebody(t: number, own: Random): void {
    const { gate, unseen } = this.#options;
    const leaf = Math.floor(own.between(0, gate.leaves.length));
    const zone = this.lane.zoneMm(leaf);
    const everyThird = this.#left % 3 === 0;
    if (unseen === 'jumping' && everyThird) {
      const lamb = this.#held();
      if (lamb !== undefined) this.#reaching = leap(t + own.between(500, 3000), lamb.body);
      return;
    }
    const reach = unseen === 'reaching' ? everyThird : own.chance(0.02);
    if (reach) {
      const body = person(ARM_MM, zone.from + own.between(100, 600), gate.leaves.length);
      const fromAt = t + own.between(0, 6000);
      const untilAt = fromAt + own.between(1000, 5000);
      this.#reaching = { body, fromAt, untilAt, stops: unseen !== 'reaching' };
    } else if (own.chance(0.005)) {
      // From the pen, through the beams.
      const body = person(PERSON_MM, FAR_MM, own.chance(0.5) ? leaf : gate.leaves.length);
      const speed = own.between(500, 1600);
      const wait = own.between(1000, 5000);
      body.waitMs = own.between(0, 5000);
      body.way = [
        { toMm: zone.from + 500, speed, thenWaitMs: wait },
        { toMm: FAR_MM, speed, thenWaitMs: 0 },
      ];
      this.lane.bodies.push(body);
    }
  }

  /** The stop is pressed first, then the arm goes in; it is released after the arm is out. */
  #reach(t: number): void {
    const now = this.#reaching;
    if (now === null) return;
    const { bodies } = this.lane;
    const inside = bodies.includes(now.body);
    if (now.stops && t === Math.ceil(now.fromAt / STEP_MS) * STEP_MS) this.stopPressed = true;
    if (!inside && t >= now.fromAt + (now.stops ? 400 : 0) && t < now.untilAt) {
      bodies.push(now.body);
      const lamb = this.#lambs.find((l) => l.body === now.body);
      if (lamb !== undefined) lamb.going = true;
      if (lamb !== undefined) this.#reaching = null;
    } else if (t >= now.untilAt) {
      const at = bodies.indexOf(now.body);
      if (at !== -1) bodies.splice(at, 1);
    }
    if (t < now.untilAt + 500) return;
    this.stopPressed = false;
    this.#reaching = null;
  }
}

/** Over the front into the lane: it lands in the first leaf's sweep. */
function leap(fromAt: number, body: Body): Reach {
  body.way = [
    { toMm: 1200, speed: 4000, thenWaitMs: 3000 },
    { toMm: FAR_MM, speed: 1200, thenWaitMs: 0 },
  ];
  return { body, fromAt, untilAt: fromAt + 60_000, stops: false };
}
