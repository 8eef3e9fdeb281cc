/** A small race for the tests of the core: `step` on ticks of 20 ms, ten readings a second. */
import { defaultConfig } from '../../../src/config/defaults.ts';
import { initial, step, type Config, type State } from '../../../src/core/step.ts';
import type { Command, Crossing, Event, Input, KnownFacts } from '../../../src/core/trace.ts';
import { TICK_MS } from '../../../src/core/trace.ts';

export interface Race {
  config: Config;
  state: State;
  t: number;
  events: Event[];
  outputs: Record<string, boolean>;
  /** Weight on the load bars from now on. */
  kg: number;
  /** The weigh head sends readings. */
  talks: boolean;
  give(input: Input): void;
  for(ms: number): Race;
  input(name: string, on: boolean): Race;
  command(command: Command): Race;
  tag(tag: string, known?: Partial<KnownFacts>): Race;
  /** Runs until this is so, at most 30 s. */
  until(what: string, ready: (race: Race) => boolean): Race;
  /** Rows at letting go. */
  rows(): Crossing[];
  refusals(): string[];
}

const FREE: KnownFacts = { held: false, list: null, lastKg: null, lastDays: null };

/** Running, at home, crate empty, front shut, lane confirmed. */
export function started(
  change: (config: Config) => Config = (config) => config,
  inputs: string[] = ['frontShut', 'stopLoop'],
): Race {
  const scale = { divisionKg: 0.1, rateHz: 10 };
  const config = change(structuredClone(defaultConfig({ scale, inputs })));
  const race = raceOf(config);
  for (const name of ['frontShut', 'stopLoop', 'laneClear', 'backShut', 'actuatorPower']) {
    if (config.inputs.includes(name)) race.input(name, true);
  }
  race.for(2000).command({ do: 'start' }).command({ do: 'confirm' });
  return race.until('running', (r) => r.state.cycle.mode === 'running').for(1200);
}

function raceOf(config: Config): Race {
  const race: Race = {
    config,
    state: initial(config),
    t: 0,
    events: [],
    outputs: {},
    kg: 0,
    talks: true,
    give: (input) => {
      const stepped = step(config, race.state, input);
      race.state = JSON.parse(JSON.stringify(stepped.state)) as State;
      race.outputs = stepped.outputs;
      race.events.push(...stepped.events);
    },
    for: (ms) => {
      for (const end = race.t + ms; race.t < end; race.t += TICK_MS) {
        if (race.talks && race.t % 100 === 0) race.give({ t: race.t, kg: race.kg });
        race.give({ t: race.t, tick: true });
      }
      return race;
    },
    input: (input, on) => {
      race.give({ t: race.t, input, on });
      return race;
    },
    command: (command) => {
      race.give({ t: race.t, command });
      return race;
    },
    tag: (tag, known = {}) => {
      race.give({ t: race.t, tag, known: { ...FREE, ...known } });
      return race;
    },
    until: (what, ready) => {
      for (let n = 0; !ready(race); n += 1) {
        if (n > 1500) throw new Error(`not within 30 s: ${what}`);
        race.for(TICK_MS);
      }
      return race;
    },
    rows: () => race.events.flatMap((e) => (e.kind === 'let-go' ? [e.crossing] : [])),
    refusals: () => race.events.flatMap((e) => (e.kind === 'refused' ? [e.reason] : [])),
  };
  return race;
}

/** A lamb comes on within 0.3 s and stands. */
export function comesOn(race: Race, kg: number): Race {
  for (const share of [0.3, 0.6, 1]) {
    race.kg = Math.round(kg * share * 10) / 10;
    race.for(100);
  }
  return race;
}

export const isReady = (race: Race): boolean => (race.state.cycle.animal?.readyAt ?? null) !== null;

/** The front opens, the lamb walks off, the front is shut again. */
export function goes(race: Race): Race {
  race.input('frontShut', false).for(300);
  race.kg = 0;
  return race.for(600).input('frontShut', true).for(1500);
}
