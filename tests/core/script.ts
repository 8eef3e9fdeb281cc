/** A small language for telling the core what happens: readings at 10 Hz, ticks of 20 ms. */
import { defaultConfig } from '../../src/config/defaults.ts';
import { initial, step, stepWith, type Config, type State } from '../../src/core/step.ts';
import { TIMES } from '../../src/core/times.ts';
import { TICK_MS, type Command, type Event, type Input, type Mode } from '../../src/core/trace.ts';
import type { WeighingContacts, WeighingResult } from '../../src/core/weighing/result.ts';

export interface Change {
  t: number;
  output: string;
  on: boolean;
}

/** A configuration for tests: the default site's with these contacts. */
export function configWith(inputs: string[], change: Partial<Config> = {}): Config {
  const base = defaultConfig({ scale: { divisionKg: 0.1, rateHz: 10 }, inputs });
  return { ...base, ...change };
}

/** Everything that happened to one core, told step by step. */
export class Script {
  state: State;
  t = 0;
  outputs: Record<string, boolean> = {};
  readonly events: (Event & { t: number })[] = [];
  readonly changes: Change[] = [];
  readonly inputs: Input[] = [];
  readonly config: Config;
  kg: number | null = 0;
  /** What the made-up weighing says besides what `kg` makes it say. */
  look: Partial<WeighingResult> = {};
  readonly #madeUp: boolean;
  #load: Pick<WeighingResult, 'occupancy' | 'enteredAt'> = {
    occupancy: 'unknown',
    enteredAt: null,
  };

  /** With `madeUp` the weight on the crate is known and settled at once: many times faster. */
  constructor(config: Config, madeUp = false) {
    this.config = config;
    this.#madeUp = madeUp;
    this.state = initial(config);
    this.give({ t: 0, tick: true });
  }

  /** Gives one input at the present time. */
  give(input: Input): this {
    this.inputs.push(input);
    const stepped = this.#madeUp ? this.#stepMadeUp(input) : step(this.config, this.state, input);
    this.state = stepped.state;
    for (const event of stepped.events) this.events.push({ ...event, t: input.t });
    for (const [output, on] of Object.entries(stepped.outputs)) {
      if ((this.outputs[output] ?? false) !== on) this.changes.push({ t: input.t, output, on });
    }
    this.outputs = stepped.outputs;
    return this;
  }

  #stepMadeUp(input: Input): Pick<ReturnType<typeof step>, 'state' | 'events' | 'outputs'> {
    const weigh = (seen: WeighingContacts): WeighingResult => this.#weighing(input.t, seen);
    const scale = { weigh, ask: (_: unknown, seen: WeighingContacts) => weigh(seen) };
    const { weighing } = this.state;
    const stepped = stepWith(this.config, this.state, input, scale, TIMES);
    return { ...stepped, state: { ...stepped.state, weighing } };
  }

  #weighing(t: number, { frontProvedShut }: WeighingContacts): WeighingResult {
    const { kg } = this;
    const { loadingKg, emptyKg } = this.config.crate;
    const before = this.#load.occupancy;
    const between = kg === null || before === 'unknown' ? 'unknown' : before;
    const occupancy =
      kg === null ? 'unknown' : kg < emptyKg ? 'empty' : kg > loadingKg ? 'loaded' : between;
    const anew = before !== 'loaded' || frontProvedShut;
    const enteredAt = occupancy !== 'loaded' ? null : anew ? t : this.#load.enteredAt;
    this.#load = { occupancy, enteredAt };
    const good = { u95Kg: 0.04, uKg: 0.02, settled: true, spanMs: 1000 };
    const toCome = { half: 0, foot: 0 };
    return {
      reading: kg === null ? null : { kg, at: t },
      fresh: kg !== null,
      zeroKnown: true,
      occupancy,
      enteredAt,
      estimate: kg === null || occupancy !== 'loaded' ? null : { kg, ...good, toCome },
      oddities: [],
      ...this.look,
    };
  }

  /** Lets time pass: ticks, and readings of the present weight unless it is null. */
  wait(ms: number): this {
    for (const end = this.t + ms; this.t + TICK_MS <= end;) {
      this.t += TICK_MS;
      if (this.kg !== null && !this.#madeUp && this.t % 100 === 0)
        this.give({ t: this.t, kg: this.kg });
      this.give({ t: this.t, tick: true });
    }
    return this;
  }

  set(input: string, on: boolean): this {
    return this.give({ t: this.t, input, on });
  }

  say(command: Command): this {
    return this.give({ t: this.t, command });
  }

  weigh(kg: number | null): this {
    this.kg = kg;
    return this;
  }

  /** Front shut and every other safety contact healthy, crate seen empty, started, lane confirmed. */
  begin(): this {
    for (const name of this.config.inputs) {
      const safety = /^(frontShut|stopLoop|actuatorPower|laneClear)/.test(name);
      if (safety || name === 'backShut' || name === 'handsOff') this.set(name, true);
    }
    return this.wait(1000).say({ do: 'start' }).say({ do: 'confirm' }).wait(4000);
  }

  /** The front is opened, the animal walks out, the front is shut. */
  letGo(ms = 800): this {
    this.set('frontShut', false).wait(300).weigh(0).wait(ms);
    return this.set('frontShut', true).wait(200);
  }

  mode(): Mode {
    return this.state.cycle.mode;
  }

  of<K extends Event['kind']>(kind: K): (Extract<Event, { kind: K }> & { t: number })[] {
    return this.events.filter((e) => e.kind === kind) as (Extract<Event, { kind: K }> & {
      t: number;
    })[];
  }

  faults(): string[] {
    return this.of('fault')
      .filter((e) => e.on)
      .map((e) => e.fault);
  }

  motion(): Change[] {
    return this.changes.filter(({ output }) => /\.(extend|retract)$/.test(output));
  }

  /** Motion outputs that are on now. */
  moving(): string[] {
    return Object.keys(this.outputs).filter(
      (name) => /\.(extend|retract)$/.test(name) && this.outputs[name] === true,
    );
  }
}
