/** What has to be tried, measured and asked at a fitting, made from the settings of one yard. */
import { isSafetyContact } from '../core/contacts/contacts.ts';
import type { LeafConfig, LeafEnd } from '../core/interlock/gate.ts';
import type { Config } from '../core/step.ts';
import { TICK_MS, type Exit } from '../core/trace.ts';

export type StepId =
  | 'supply'
  | 'head'
  | 'scale'
  | 'contacts'
  | 'leaves'
  | 'exits'
  | 'stop'
  | 'hands'
  | 'reboots'
  | 'dry'
  /** The short version for a set that travels; there once a new yard was begun. */
  | 'yard';

/** A step's items hold as long as these settings stay as they were. */
export type MarkId = 'scale' | 'inputs' | 'gate';

export interface Limit {
  least?: number;
  most?: number;
  /** With `least`: up to this is right too, such as a hinge gap that no finger enters. */
  orMost?: number;
}

/** How an item is done. */
export type Ask =
  /** A person looks and says yes or no. */
  | { kind: 'yes' }
  /** Figures that a person reads from a meter; with `mean` their mean is what counts. */
  | {
      kind: 'figure';
      unit: 'V' | 'mm' | 'N' | 'ms' | 'times';
      limit: Limit;
      /** Where the limit comes from. */
      source: string;
      count: number;
      mean: boolean;
      /** May be answered by a cover or fence instead. */
      orCovered: boolean;
    }
  /** Pressed, opened, or its wire pulled: seen to leave its rest and to come back. */
  | { kind: 'input'; input: string; rest: boolean }
  /** No input changes for so long. */
  | { kind: 'quiet'; forMs: number }
  /** One leaf is sent, and a person says which way it went. */
  | { kind: 'direction'; leaf: string; end: LeafEnd }
  /** Whole strokes, by hold-to-run, timed. */
  | {
      kind: 'travel';
      leaf: string;
      leastMs: number;
      mostMs: number;
      count: number;
      /** The battery is to be at this voltage; seen where it is read, else a person sees to it. */
      battery?: { volts: number; read: boolean };
    }
  /** The leaves are sent to these ends, and a person says where an animal would go. */
  | { kind: 'exit'; exit: Exit; ends: Record<string, LeafEnd> }
  /** The stop loop opened while a leaf moved; closing it moved nothing. */
  | { kind: 'stopped' }
  /** The rail was seen dead after the keep-alive fell silent. */
  | { kind: 'drop-out'; mostMs: number }
  /** The weigh head is heard at this rate at least, readings a second. */
  | { kind: 'readings'; least: number }
  /** The empty crate reads zero, kg. */
  | { kind: 'zero'; withinKg: number }
  /** A known mass in the middle and, with corners, at four corners. */
  | { kind: 'mass'; maxKg: number; divisionKg: number; corners: number }
  /** A person watched so many starts of the machine. */
  | { kind: 'reboots'; count: number }
  /** Words: a name. */
  | { kind: 'words' };

export interface Item {
  /** `what`, or `what:about`. */
  id: string;
  what: string;
  /** Leaf, exit or input that it is about. */
  about: string | null;
  ask: Ask;
}

export interface Step {
  id: StepId;
  /** The race does not start while it is open. */
  safety: boolean;
  mark: MarkId | null;
  items: Item[];
}

/** All that a fitting depends on. */
export type Yard = Pick<Config, 'scale' | 'gate' | 'inputs' | 'battery'>;

/** So the ids of the short step's items begin. */
export const NEW_YARD = 'yard.';

const TIMES = 5;
const DRY_RUNS = 10;
const FENCE_MS = 600_000;
/** Standstill after the keep-alive is gone: 200 ms of drop-out and what the leaf runs on, ms. */
const STANDSTILL_MS = 300;
/** Where no battery input sets another, V. */
const LOW_VOLTS = 11.8;

const item = (what: string, ask: Ask, about: string | null = null): Item => ({
  id: about === null ? what : `${what}:${about}`,
  what,
  about,
  ask,
});
const yes = (what: string, about: string | null = null): Item => item(what, { kind: 'yes' }, about);

type Figure = Extract<Ask, { kind: 'figure' }>;

function figure(
  unit: Figure['unit'],
  limit: Limit,
  source: string,
  more: Partial<Pick<Figure, 'count' | 'mean' | 'orCovered'>> = {},
): Ask {
  return { kind: 'figure', unit, limit, source, count: 1, mean: false, orCovered: false, ...more };
}

/** The ten steps in their order, and the short one of a new yard where one was begun. */
export function stepsOf(yard: Yard, newYard: boolean): Step[] {
  const step = (id: StepId, safety: boolean, mark: MarkId | null, items: Item[]): Step => ({
    id,
    safety,
    mark,
    items,
  });
  const ten = [
    step('supply', true, null, supply(yard)),
    step('head', false, 'scale', [
      item('readings', { kind: 'readings', least: yard.scale.rateHz / 2 }),
    ]),
    step('scale', false, 'scale', [yes('level'), zero(yard), mass(yard, 4)]),
    step('contacts', true, 'inputs', contacts(yard)),
    step('leaves', true, 'gate', leaves(yard)),
    step('exits', true, 'gate', exits(yard)),
    step('stop', true, 'gate', stop(yard)),
    step('hands', true, 'gate', hands(yard)),
    step('reboots', true, 'gate', [item('reboots', { kind: 'reboots', count: TIMES })]),
    step('dry', false, 'gate', [
      item('dry-runs', figure('times', { least: DRY_RUNS }, 'ten without an animal')),
    ]),
  ];
  return newYard ? [...ten, step('yard', true, 'gate', yardItems(yard))] : ten;
}

const lowVolts = (battery: Yard['battery']): number => battery?.lowVolts ?? LOW_VOLTS;

/** Voltages: half charge by the mean of three tables, and 1.75 V a cell from memory. */
function supply({ battery }: Yard): Item[] {
  return [
    yes('fuses'),
    item(
      'rest-volts',
      figure('V', { least: 12.2 }, 'half charged; tables differ by 0.1 V either way'),
    ),
    item(
      'load-volts',
      figure('V', { least: lowVolts(battery) }, 'the low-battery limit of this yard'),
    ),
    item('stall-volts', figure('V', { least: 10.5 }, '1.75 V a cell (from memory)')),
  ];
}

const zero = ({ scale }: Yard): Item =>
  item('zero', { kind: 'zero', withinKg: scale.divisionKg / 2 });
const mass = ({ scale: { maxKg, divisionKg } }: Yard, corners: number): Item =>
  item('mass', { kind: 'mass', maxKg, divisionKg, corners });

function contacts({ inputs }: Yard): Item[] {
  const tried = inputs.flatMap((input): Item[] => {
    const rests = isSafetyContact(input) || /\.(extended|retracted)$/.test(input);
    const pressed = item('press', { kind: 'input', input, rest: rests }, input);
    return rests ? [pressed, item('wire', { kind: 'input', input, rest: true }, input)] : [pressed];
  });
  const front = inputs.includes('frontShut') ? [yes('front-just')] : [];
  return [...tried, ...front, item('fence', { kind: 'quiet', forMs: FENCE_MS })];
}

/**
 * With switches the profile's own travel is the limit. Without, a finger timed the stroke and its delay
 * is in it: it has to be over before the interlock's own limit would cut it. What takes less than half of
 * the travel was let go, or cut, on the way.
 */
function timesOf({ endSwitches, travelMs, maxOnMs }: LeafConfig): {
  leastMs: number;
  mostMs: number;
} {
  return {
    leastMs: Math.ceil(travelMs / 2),
    mostMs: endSwitches ? travelMs : maxOnMs - 2 * TICK_MS,
  };
}

function leaves({ gate, battery: wired }: Yard): Item[] {
  const battery = { volts: lowVolts(wired), read: wired !== null };
  return gate.leaves.flatMap((leaf) => {
    const { name } = leaf;
    const ask = { kind: 'travel', leaf: name, ...timesOf(leaf) } as const;
    return [
      item('direction', { kind: 'direction', leaf: name, end: 'extended' }, `${name}.extend`),
      item('direction', { kind: 'direction', leaf: name, end: 'retracted' }, `${name}.retract`),
      yes('ends', name),
      item('travel', { ...ask, count: TIMES }, name),
      item('low-travel', { ...ask, count: 1, battery }, name),
    ];
  });
}

function exits({ gate }: Yard): Item[] {
  return Object.entries(gate.exits).map(([exit, ends]) =>
    item('exit', { kind: 'exit', exit, ends }, exit),
  );
}

function stop({ inputs, gate }: Yard): Item[] {
  const watched = inputs.includes('stopLoop');
  const still = figure(
    'ms',
    { most: STANDSTILL_MS },
    '200 ms of drop-out and what the leaf runs on; a hand comes 0.6 m nearer (ISO 13855, from memory)',
    { count: TIMES },
  );
  const seesRail = inputs.includes('actuatorPower') && gate.dropOutMs !== null;
  const railMs = gate.dropOutMs ?? 200;
  return [
    watched ? item('stopped', { kind: 'stopped' }) : yes('stopped'),
    item('unplugged', still),
    item('frozen', still),
    seesRail
      ? item('drop-out', { kind: 'drop-out', mostMs: railMs })
      : item('drop-out', figure('ms', { most: railMs }, 'the drop-out relay’s own time')),
    yes('stays-dead'),
  ];
}

/** Gaps by ISO 13854:2017, forces by EN 12453, both from secondary sources. */
function hands({ gate }: Yard): Item[] {
  const gap = (limit: Limit, part: string): Ask =>
    figure('mm', limit, `ISO 13854:2017, ${part} (from a secondary source)`, { orCovered: true });
  const force = figure('N', { most: 400 }, 'EN 12453, peak (from a secondary source)', {
    count: 3,
    mean: true,
  });
  const after = figure('N', { most: 150 }, 'EN 12453, after 0.75 s (from a secondary source)', {
    count: 3,
    mean: true,
  });
  const each = gate.leaves.flatMap(({ name }) => [
    yes('pin', name),
    item('gap-edge', gap({ least: 180 }, 'leg'), name),
    item('gap-hinge', gap({ least: 25, orMost: 4 }, 'finger; or 4 mm, common practice'), name),
    item('gap-bottom', gap({ least: 120 }, 'foot'), name),
    item('gap-bracket', gap({ least: 25 }, 'finger'), name),
    item('force-50', force, name),
    item('force-300', force, name),
    item('force-500', force, name),
    item('force-after', after, name),
  ]);
  return [...each, yes('warning')];
}

/** The five-minute version: the same items under names of their own. */
function yardItems(yard: Yard): Item[] {
  const named = ({ id, what, about, ask }: Item): Item => ({
    id: `${NEW_YARD}${id}`,
    what: `${NEW_YARD}${what}`,
    about,
    ask,
  });
  const washed = item('washed', { kind: 'words' });
  const stopped = stop(yard).filter(({ what }) => what === 'stopped');
  return [yes('level'), zero(yard), mass(yard, 0), ...exits(yard), ...stopped, washed].map(named);
}
