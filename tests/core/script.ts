/** A small language for telling the core what happens: readings at 10 Hz, ticks of 20 ms. */
import { defaultConfig } from '../../src/config/defaults.ts';
import { initial, step, type Config, type State } from '../../src/core/step.ts';
import { TICK_MS, type Command, type Event, type Input, type Mode } from '../../src/core/trace.ts';

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

  constructor(config: Config) {
    this.config = config;
    this.state = initial(config);
    this.give({ t: 0, tick: true });
  }

  /** Gives one input at the present time. */
  give(input: Input): this {
    this.inputs.push(input);
    const stepped = step(this.config, this.state, input);
    this.state = stepped.state;
    for (const event of stepped.events) this.events.push({ ...event, t: input.t });
    for (const [output, on] of Object.entries(stepped.outputs)) {
      if ((this.outputs[output] ?? false) !== on) this.changes.push({ t: input.t, output, on });
    }
    this.outputs = stepped.outputs;
    return this;
  }

  /** Lets time pass: ticks, and readings of the present weight unless it is null. */
  wait(ms: number): this {
    for (const end = this.t + ms; this.t + TICK_MS <= end;) {
      this.t += TICK_MS;
      if (this.kg !== null && this.t % 100 === 0) this.give({ t: this.t, kg: this.kg });
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
