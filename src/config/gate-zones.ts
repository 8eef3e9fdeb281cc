import type { Finding } from './issues.ts';

type End = 'extended' | 'retracted';
type Zone = End | 'between';
type Zones = readonly Zone[];

/** As much of a gate profile as its forbidden combinations depend on. */
interface Gate {
  leaves: { name: string }[];
  exits: Record<string, Record<string, End>>;
  home: string;
  forbidden: Record<string, Zone>[];
}

const ORDER: readonly Zone[] = ['retracted', 'between', 'extended'];

/**
 * Explores exhaustively, over zones (retracted, between, extended) of every leaf:
 * - every way between exits: leaves in any order, overlapping by any stagger, the target changed or
 *   the motion cut off at any moment;
 * - homing from every combination that is not forbidden, leaf by leaf in the profile's order.
 * Gives a finding for each forbidden combination that can be reached, and for homing that would pass
 * one. Nothing is said of where within `between` a leaf is.
 */
export function forbiddenFindings(gate: Gate): Finding[] {
  if (gate.forbidden.length === 0) return [];
  const reached = reachable(gate);
  const found = gate.forbidden.flatMap((zones, i): Finding[] =>
    reached.some((state) => matches(gate, state, zones))
      ? [
          {
            path: ['forbidden', i],
            at: 'value',
            message: `the leaves can pass through ${words(zones)} on their way between exits`,
            remedy:
              'Set the leaves so that this does no harm and remove the line, or choose other ends',
          },
        ]
      : [],
  );
  if (found.length > 0 || homes(gate, gate.leaves)) return found;
  const better = permutations(gate.leaves).find((order) => homes(gate, order));
  return [
    {
      path: ['home'],
      at: 'value',
      message: `homing to ${gate.home}, leaf by leaf, can pass through a forbidden combination`,
      remedy:
        better === undefined
          ? 'Home to another exit'
          : `List the leaves in the order ${better.map(({ name }) => name).join(', ')}`,
    },
  ];
}

function words(zones: Record<string, Zone>): string {
  return Object.entries(zones)
    .map(([leaf, zone]) => `${leaf} ${zone}`)
    .join(' with ');
}

/** Every combination that changes between exits can pass, whatever is interrupted when. */
function reachable(gate: Gate): Zones[] {
  const targets = Object.values(gate.exits).map((ends) => zonesOf(gate, ends));
  const seen = new Map(targets.map((zones) => [zones.join(), zones]));
  // A map's walk includes what is added during it.
  for (const state of seen.values()) {
    for (const target of targets) {
      for (const next of steps(state, target)) seen.set(next.join(), seen.get(next.join()) ?? next);
    }
  }
  return [...seen.values()];
}

/** Any of the leaves that have to move goes one zone on; two at once pass the same combinations. */
function steps(state: Zones, target: Zones): Zones[] {
  return state.flatMap((zone, i) => {
    const next = towards(zone, target[i]);
    return next === zone ? [] : [state.map((other, j) => (j === i ? next : other))];
  });
}

function towards(zone: Zone, target: Zone | undefined): Zone {
  const step = Math.sign(ORDER.indexOf(target ?? zone) - ORDER.indexOf(zone));
  return ORDER[ORDER.indexOf(zone) + step] ?? zone;
}

function homes(gate: Gate, order: readonly { name: string }[]): boolean {
  const home = zonesOf(gate, gate.exits[gate.home] ?? {});
  const indexes = order.map(({ name }) => gate.leaves.findIndex((leaf) => leaf.name === name));
  return combinations(gate.leaves.length)
    .filter((state) => !isForbidden(gate, state))
    .every((start) => {
      let state = start;
      for (const i of indexes) {
        while (state[i] !== home[i]) {
          const next = towards(state[i] ?? 'between', home[i]);
          state = state.map((zone, j) => (j === i ? next : zone));
          if (isForbidden(gate, state)) return false;
        }
      }
      return true;
    });
}

function isForbidden(gate: Gate, state: Zones): boolean {
  return gate.forbidden.some((zones) => matches(gate, state, zones));
}

/** A leaf that the combination does not name may be anywhere. */
function matches(gate: Gate, state: Zones, zones: Record<string, Zone>): boolean {
  return gate.leaves.every(({ name }, i) => zones[name] === undefined || zones[name] === state[i]);
}

function zonesOf(gate: Gate, ends: Record<string, End>): Zones {
  return gate.leaves.map(({ name }) => ends[name] ?? 'between');
}

function combinations(leaves: number): Zones[] {
  if (leaves === 0) return [[]];
  return combinations(leaves - 1).flatMap((rest) => ORDER.map((zone) => [...rest, zone]));
}

function permutations<T>(items: readonly T[]): T[][] {
  if (items.length === 0) return [[]];
  return items.flatMap((item, i) =>
    permutations(items.filter((_, j) => j !== i)).map((rest) => [item, ...rest]),
  );
}
