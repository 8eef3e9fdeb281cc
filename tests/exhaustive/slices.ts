/**
 * Each shipped gate profile with its times set to a few ticks, and the slices by which it is explored:
 * small alphabets of what may happen, each taken to closure by itself.
 */
import { newPlan } from '../../src/config/plan.ts';
import { loadProfile, profileNames, shippedProfiles } from '../../src/config/profiles.ts';
import { resolveGate } from '../../src/config/gates.ts';
import { defaultConfig } from '../../src/config/defaults.ts';
import type { GateConfig } from '../../src/core/interlock/gate.ts';
import type { Config } from '../../src/core/step.ts';
import type { Command, Input } from '../../src/core/trace.ts';
import { NEVER } from './canonical.ts';
import type { Happening, Phase, Weight } from './model.ts';

export interface Slice {
  name: string;
  config: Config;
  happenings: Happening[];
  /** Contacts that are on from the first step. */
  on: string[];
  /** Leaves whose end switches follow their outputs; the switches of others change when they like. */
  honest: string[];
  phase: Phase;
}

export const GATES: string[] = profileNames('gate', null);

/** Strokes are counted only in the slice that is about them. */
function shortGate(name: string, rehomeAfterStrokes: number): GateConfig {
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
    dropOutMs: 20,
    rehomeAfterStrokes,
  };
}

/** Exits whose lots the explored weights fall into: three at the most, home among them. */
function sortedExits(gate: GateConfig): string[] {
  const others = Object.keys(gate.exits).filter((exit) => exit !== gate.home);
  return [...others.slice(0, 1), ...others.slice(-1), gate.home].filter(
    (exit, i, all) => all.indexOf(exit) === i,
  );
}

function shortConfig(gate: GateConfig, contacts: string[]): Config {
  const base = defaultConfig();
  const exits = sortedExits(gate);
  const lots = exits.map((exit, i) => {
    const name = `Lot ${i}`;
    return i === exits.length - 1 ? { name, exit } : { name, exit, belowKg: 30 + 10 * i };
  });
  const plan = newPlan(Object.keys(gate.exits));
  const switches = gate.leaves
    .filter((leaf) => leaf.endSwitches)
    .flatMap(({ name }) => [`${name}.extended`, `${name}.retracted`]);
  return {
    ...base,
    gate,
    inputs: [...contacts, ...switches],
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
/** Off and on again between two ticks. */
const pulse = (input: string): Happening => several(toggle(input), toggle(input));
const weigh = (...weights: Weight[]): Happening[] =>
  weights.map((weight) => ({ what: 'weight', weight }));

const TICK: Happening = { what: 'tick' };
const LATE: Happening = { what: 'late' };
const START = tell({ do: 'start' });
const CONFIRM = tell({ do: 'confirm' });
const CLEAR = tell({ do: 'clear' });
const STOP = tell({ do: 'stop' });
const PAUSE = tell({ do: 'pause' });
const ONWARD = several(START, CONFIRM);
/** A person who clears, starts and has looked, in one go. */
const GO = several(CLEAR, START, CONFIRM);

/** The slices of one shipped gate. */
export function slices(name: string): Slice[] {
  const gate = shortGate(name, NEVER);
  const lots = sortedExits(gate).map((_, i) => kgOf(i));
  const away = kgOf(0);
  const exit = sortedExits(gate)[0] ?? gate.home;
  const all = gate.leaves.map((leaf) => leaf.name);
  const first = all.slice(0, 1);
  const front = ['frontShut'];
  const slice = (
    title: string,
    on: string[],
    happenings: Happening[],
    more: Partial<Slice> = {},
  ) => ({
    name: title,
    config: shortConfig(gate, on),
    happenings: [TICK, ...happenings],
    on,
    honest: all,
    phase: 'with the tick' as const,
    ...more,
  });
  const holds = first.flatMap((leaf) => [`${leaf}.extend`, `${leaf}.retract`]);
  // With two leaves and more two lots are enough: an empty crate comes in the other slices.
  const sorted: Weight[] = all.length === 1 ? ['empty', ...lots] : lots.slice(0, 2);
  // The front opens in the two slices that are about it, and with one leaf where records fail.
  const door = all.length === 1 ? [toggle('frontShut')] : [];
  // A finger meets homing strokes with one leaf and two. Three and four are only held and freed, and
  // so are leaves with switches: the watcher cannot tell a start that their faults refuse.
  const switched = gate.leaves.some((leaf) => leaf.endSwitches);
  const onward = all.length > 2 || switched ? [] : [ONWARD];
  const list = [
    slice('sorting', front, [ONWARD, ...weigh(...sorted), toggle('frontShut')]),
    slice('let out early', front, [GO, ...weigh('empty', away), toggle('frontShut')]),
    slice('unsettled', front, [ONWARD, ...weigh('empty', 'none', 'moving', away)]),
    slice('counting', front, [START, CONFIRM, PAUSE, ...weigh(...lots.slice(-2))], {
      config: shortConfig(shortGate(name, 2), front),
    }),
    slice(
      'stopping',
      ['frontShut', 'stopLoop'],
      [
        ...[START, CONFIRM, ONWARD, CLEAR, STOP, PAUSE, LATE],
        ...[toggle('stopLoop'), pulse('stopLoop'), ...weigh('empty', away)],
      ],
    ),
    slice(
      'beam',
      ['frontShut', 'laneClear'],
      [ONWARD, ...weigh('empty', away), toggle('laneClear')],
    ),
    // With one leaf the weight may go too; with two a beam may stay broken.
    slice(
      'crossing',
      ['frontShut', 'laneClear'],
      [
        ...[ONWARD, toggle('frontShut')],
        ...weigh(...(all.length === 1 ? (['empty', away] as const) : [away])),
        all.length === 2 ? toggle('laneClear') : pulse('laneClear'),
      ],
    ),
    slice('by hand', front, [
      ...[ONWARD, ...weigh('empty', 'none', away), tell({ do: 'exit', exit })],
    ]),
    slice('records', front, [
      ...[ONWARD, ...weigh('empty', away), ...door],
      ...[link('records', false), link('records', true)],
    ]),
    slice(
      'holding',
      ['frontShut', 'stopLoop'],
      [
        ...[...onward, CLEAR, STOP, toggle('stopLoop')],
        ...holds.map((output) => tell({ do: 'hold', output })),
      ],
    ),
    slice('links', front, [
      ...[GO, ...weigh(away), link('inputs', false), link('inputs', true)],
      ...[link('relays', false), link('relays', true)],
    ]),
  ];
  if (!switched) return list;
  const lying = first.flatMap((leaf) => [toggle(`${leaf}.extended`), toggle(`${leaf}.retracted`)]);
  const others = { honest: all.slice(1) };
  list.push(slice('switches', front, [GO, ...weigh('empty', away), ...lying], others));
  return list;
}
