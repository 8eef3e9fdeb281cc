import { z } from 'zod';
import { spentDutyMs } from '../core/interlock/duty.ts';
import type { GateConfig, LeafConfig } from '../core/interlock/gate.ts';
import { forbiddenFindings } from './gate-zones.ts';
import type { Finding } from './issues.ts';
import { about, between, milliseconds, title } from './values.ts';

const leafName = z
  .string()
  .regex(/^[A-Za-z][A-Za-z0-9]{0,19}$/, '{} is no name for a leaf\nUse letters and digits: leafA');

const exitName = z
  .string()
  .regex(/^[A-Za-z][A-Za-z0-9-]{0,19}$/, '{} is no name for an exit\nUse letters: left');

const leafEnd = z.enum(['extended', 'retracted'], {
  error: ({ input }) =>
    typeof input === 'string' && /mid|half|between|part/i.test(input)
      ? '{} asks for a middle position, which needs a switch of its own and is not known here\nUse a second leaf, so that every exit is a combination of ends: extended, retracted'
      : undefined,
});

const leaf = z.strictObject({
  name: leafName.describe('Outputs are <name>.extend and <name>.retract'),
  travelMs: milliseconds(200, 30_000).describe('Whole stroke at the low-battery limit, ms'),
  endSwitches: z.boolean().default(false),
  overTravelMs: milliseconds(0, 500).default(0).describe('Stays on after its end switch made, ms'),
  opening: z.enum(['extend', 'retract']).describe('The direction that frees what is caught'),
  duty: z
    .union([
      z.literal('continuous'),
      z.strictObject({
        onMs: milliseconds(100, 3_600_000),
        periodMs: milliseconds(100, 3_600_000),
      }),
    ])
    .describe('IEC 60034-1: S3 as on-time within any period, or continuous (S1)'),
});

/** A gate profile as it is written; `resolveGate` makes the core's GateConfig of it. */
export const gateSchema = z.strictObject({
  kind: z.literal('gate'),
  name: title,
  about,
  leaves: z.array(leaf).min(1).max(4).describe('In the order in which they are homed and moved'),
  exits: z
    .record(exitName, z.record(leafName, leafEnd))
    .describe('Left, right: as the animal walks'),
  home: exitName.describe('The exit that homing ends at'),
  deadTimeMs: milliseconds(250, 2000).default(250),
  warnMs: z
    .strictObject({ first: milliseconds(0, 10_000), later: milliseconds(0, 10_000) })
    .default({ first: 300, later: 0 }),
  staggerMs: milliseconds(0, 2000).default(100),
  laneHoldMs: milliseconds(200, 10_000).default(1000),
  rehomeAfterStrokes: between(1, 50, 'strokes').int().default(50),
  dropOutMs: milliseconds(20, 200)
    .nullable()
    .default(null)
    .describe('The rail is dead this long after the keep-alive fell silent, ms; null: not watched'),
  forbidden: z
    .array(z.record(leafName, z.enum(['extended', 'retracted', 'between'])))
    .default([])
    .describe('Combinations of leaf zones that must never be passed through'),
});

export type GateProfile = z.output<typeof gateSchema>;

/** The longest that a direction may stay on: the travel plus 25 %, then the over-travel, ms. */
function maxOnMs(travelMs: number, overTravelMs: number): number {
  return Math.ceil(travelMs * 1.25) + overTravelMs;
}

export function resolveGate(profile: GateProfile): GateConfig {
  return {
    exits: profile.exits,
    leaves: profile.leaves.map(resolveLeaf),
    home: profile.home,
    deadTimeMs: profile.deadTimeMs,
    warnMs: profile.warnMs,
    staggerMs: profile.staggerMs,
    laneHoldMs: profile.laneHoldMs,
    rehomeAfterStrokes: profile.rehomeAfterStrokes,
    dropOutMs: profile.dropOutMs,
    forbidden: profile.forbidden,
  };
}

function resolveLeaf(leaf: GateProfile['leaves'][number]): LeafConfig {
  return {
    name: leaf.name,
    travelMs: leaf.travelMs,
    maxOnMs: maxOnMs(leaf.travelMs, leaf.overTravelMs),
    overTravelMs: leaf.overTravelMs,
    endSwitches: leaf.endSwitches,
    opening: leaf.opening,
    duty: leaf.duty === 'continuous' ? null : leaf.duty,
  };
}

/** What the schema alone cannot see: names that must match, and motion that must never collide. */
export function checkGate(profile: GateProfile): Finding[] {
  const found = [...leafFindings(profile), ...exitFindings(profile)];
  return found.length > 0 ? found : forbiddenFindings(profile);
}

function fault(path: PropertyKey[], message: string, remedy: string): Finding {
  return { path, at: 'value', message, remedy };
}

function leafFindings({ leaves }: GateProfile): Finding[] {
  return leaves.flatMap((leaf, i) => {
    const found: Finding[] = [];
    const at = (key: string): PropertyKey[] => ['leaves', i, key];
    if (leaves.findIndex(({ name }) => name === leaf.name) !== i)
      found.push(fault(at('name'), `two leaves are called ${leaf.name}`, 'Rename one'));
    if (!leaf.endSwitches && leaf.overTravelMs > 0)
      found.push(
        fault(at('overTravelMs'), 'a leaf without end switches has no over-travel', 'Write 0'),
      );
    if (leaf.duty === 'continuous') return found;
    const resolved = resolveLeaf(leaf);
    if (resolved.maxOnMs > spentDutyMs(resolved))
      found.push(
        fault(
          [...at('duty'), 'onMs'],
          `a stroke of up to ${resolved.maxOnMs} ms is more than a quarter of this on-time`,
          'Give the S3 rating over its whole cycle, 600000 ms unless its plate says another',
        ),
      );
    if (leaf.duty.onMs > leaf.duty.periodMs)
      found.push(
        fault(
          [...at('duty'), 'onMs'],
          'the on-time is longer than its period',
          'Write duty: continuous if it is rated S1',
        ),
      );
    return found;
  });
}

function exitFindings(profile: GateProfile): Finding[] {
  const exits = Object.entries(profile.exits);
  const names = profile.leaves.map(({ name }) => name);
  const found: Finding[] = [];
  if (exits.length < 2 || exits.length > 5)
    found.push(fault(['exits'], `a gate has two to five exits, not ${exits.length}`, 'List each'));
  if (profile.exits[profile.home] === undefined)
    found.push(
      fault(
        ['home'],
        `"${profile.home}" is not an exit of this gate`,
        `Write one of: ${exits.map(([exit]) => exit).join(', ')}`,
      ),
    );
  const seen = new Map<string, string>();
  for (const [exit, ends] of exits) {
    found.push(...strangeLeaves(['exits', exit], ends, names));
    for (const name of names.filter((name) => ends[name] === undefined))
      found.push(
        fault(
          ['exits', exit],
          `exit ${exit} does not say where ${name} stands`,
          `Add ${name}: extended or retracted`,
        ),
      );
    const combination = names.map((name) => ends[name]).join();
    const twin = seen.get(combination);
    if (twin !== undefined)
      found.push(
        fault(
          ['exits', exit],
          `exits ${twin} and ${exit} are the same combination`,
          'Give each exit ends of its own',
        ),
      );
    seen.set(combination, exit);
  }
  for (const [i, zones] of profile.forbidden.entries())
    found.push(...strangeLeaves(['forbidden', i], zones, names));
  return found;
}

function strangeLeaves(path: PropertyKey[], ends: object, names: string[]): Finding[] {
  return Object.keys(ends)
    .filter((name) => !names.includes(name))
    .map((name) => ({
      path: [...path, name],
      at: 'key' as const,
      message: `"${name}" is not a leaf of this gate`,
      remedy: `Its leaves: ${names.join(', ')}`,
    }));
}
