/** Each shipped gate profile with its times set to a few ticks, and the alphabets it is explored by. */
import { newPlan } from '../../src/config/plan.ts';
import { loadProfile, profileNames, shippedProfiles } from '../../src/config/profiles.ts';
import { resolveGate } from '../../src/config/gates.ts';
import { defaultConfig } from '../../src/config/defaults.ts';
import type { GateConfig } from '../../src/core/interlock/gate.ts';
import type { Config } from '../../src/core/step.ts';
import type { Command, Input } from '../../src/core/trace.ts';
import type { Alphabet, Happening } from './explore.ts';

export const GATES: string[] = profileNames('gate', null);

export function shortGate(name: string): GateConfig {
  const loaded = loadProfile('gate', name, null);
  if (loaded?.ok !== true) throw new Error(`${shippedProfiles()}: gate ${name} cannot be read`);
  const gate = resolveGate(loaded.value);
  return {
    ...gate,
    leaves: gate.leaves.map((leaf) => ({
      ...leaf,
      travelMs: leaf.endSwitches ? 80 : 32,
      maxOnMs: leaf.endSwitches ? 80 : 40,
      overTravelMs: leaf.endSwitches ? 20 : 0,
      duty: null,
    })),
    deadTimeMs: 20,
    warnMs: { first: 20, later: 0 },
    staggerMs: gate.staggerMs > 0 ? 20 : 0,
    laneHoldMs: 20,
    rehomeAfterStrokes: 2,
  };
}

/** Exits whose lots the explored weights fall into: three at the most, home among them. */
export function sortedExits(gate: GateConfig): string[] {
  const others = Object.keys(gate.exits).filter((exit) => exit !== gate.home);
  return [...others.slice(0, 1), ...others.slice(-1), gate.home].filter(
    (exit, i, all) => all.indexOf(exit) === i,
  );
}

export function shortConfig(gate: GateConfig, contacts: string[]): Config {
  const base = defaultConfig();
  const exits = sortedExits(gate);
  const lots = exits.map((exit, i) => {
    const name = `Lot ${i}`;
    return i === exits.length - 1 ? { name, exit } : { name, exit, belowKg: 30 + 10 * i };
  });
  const plan = newPlan(Object.keys(gate.exits));
  return {
    ...base,
    gate,
    inputs: contacts,
    battery: null,
    crate: { ...base.crate, debounceMs: 20, takeBackMs: 20, heldCallMs: 20 },
    plan: {
      ...plan,
      lots,
      animals: { fromKg: 10, toKg: 90 },
      unsure: 'hold',
      decide: { hysteresisKg: 0.3, settle: { withinKg: 0.5, forMs: 20 }, callAfterMs: 20 },
    },
  };
}

const kgOf = (place: number): number => 25 + 10 * place;
const tell = (command: Command): Happening => ({ what: 'input', give: (t) => ({ t, command }) });
const toggle = (input: string): Happening => ({ what: 'toggle', input });
const link = (name: 'records' | 'relays' | 'inputs', up: boolean): Happening => ({
  what: 'input',
  give: (t): Input => ({ t, link: name, up }),
});

const several = (...all: Happening[]): Happening => ({ what: 'several', all });
const START = tell({ do: 'start' });
const CONFIRM = tell({ do: 'confirm' });
const CLEAR = tell({ do: 'clear' });
const PERSON: Happening[] = [{ what: 'tick' }, several(START, CONFIRM), CLEAR];
const pulse = (input: string): Happening => several(toggle(input), toggle(input));

/** Slices of everything that can happen; each is explored to closure by itself. */
export function alphabets(gate: GateConfig): { alphabet: Alphabet; contacts: string[] }[] {
  const places = sortedExits(gate).map((_, i) => kgOf(i));
  const weigh = (weights: (number | 'none' | 'empty' | 'moving')[]): Happening[] =>
    weights.map((weight) => ({ what: 'weight', weight }));
  const few = gate.leaves.length <= 2;
  const two = places.slice(0, few ? 3 : 2);
  const first = gate.leaves[0];
  const holds = first === undefined ? [] : [`${first.name}.extend`, `${first.name}.retract`];
  const exit = Object.keys(gate.exits).find((name) => name !== gate.home) ?? gate.home;
  const front = ['frontShut'];
  const switches = gate.leaves
    .filter((leaf) => leaf.endSwitches)
    .flatMap(({ name }) => [`${name}.extended`, `${name}.retracted`]);
  const slice = (name: string, contacts: string[], happenings: Happening[]) => ({
    alphabet: { name, happenings: [...PERSON, ...happenings], on: contacts },
    contacts: [...contacts, ...switches],
  });
  const move = switches.slice(0, 2).map(toggle);
  return [
    slice('sorting', front, [...weigh(['empty', 'moving', ...two]), toggle('frontShut'), ...move]),
    slice(
      'stopping',
      ['frontShut', 'stopLoop'],
      [
        ...weigh(['empty', ...two.slice(0, 1)]),
        START,
        CONFIRM,
        tell({ do: 'stop' }),
        tell({ do: 'pause' }),
        { what: 'late' },
        toggle('stopLoop'),
        pulse('stopLoop'),
        ...move,
      ],
    ),
    slice(
      'beam',
      ['frontShut', 'laneClear'],
      [
        ...weigh(['empty', ...two.slice(0, 1)]),
        CONFIRM,
        toggle('frontShut'),
        toggle('laneClear'),
        pulse('laneClear'),
      ],
    ),
    slice('by hand', front, [
      ...weigh(['empty', 'none', ...two.slice(0, 1)]),
      tell({ do: 'exit', exit }),
      toggle('frontShut'),
      link('records', false),
      link('records', true),
    ]),
    slice(
      'holding',
      ['frontShut', 'stopLoop'],
      [
        ...weigh(['empty', ...two.slice(0, 1)]),
        tell({ do: 'stop' }),
        toggle('stopLoop'),
        ...holds.map((output) => tell({ do: 'hold', output })),
      ],
    ),
    slice('links', front, [
      ...weigh(two.slice(0, 1)),
      link('inputs', false),
      link('inputs', true),
      link('relays', false),
      link('relays', true),
    ]),
  ];
}
