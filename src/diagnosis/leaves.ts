/** The leaves: how long their strokes take, and which of them do not move. Needs end switches. */
import type { FaultName } from '../core/faults/table.ts';
import type { Direction, LeafConfig } from '../core/interlock/gate.ts';
import type { Battery } from './battery.ts';
import { finding, type Finding } from './finding.ts';
import { levelAt, stretchesOn, type Seen } from './seen.ts';
import { median } from './statistics.ts';

interface Stroke {
  /** When its output went on. */
  t: number;
  /** From the output going on to the far switch, ms; null where it never made. */
  ms: number | null;
  /** The near switch opened. */
  left: boolean;
}

const FAR: Record<Direction, string> = { extend: 'extended', retract: 'retracted' };
const NEAR: Record<Direction, string> = { extend: 'retracted', retract: 'extended' };

/** The profile's time is one at the low-battery limit; beyond this share of it a leaf is slow. */
const SLOW_SHARE = 0.95;
const LEAST_STROKES = 3;
/** A leaf that is driven shorter than this may not have begun, ms. */
const DRIVEN_MS = 250;

export function judgeLeaves(seen: Seen, battery: Battery | null): Finding[] {
  const leaves = seen.config?.gate.leaves ?? [];
  return leaves.flatMap((leaf) => (leaf.endSwitches ? judgeLeaf(seen, battery, leaf) : []));
}

function judgeLeaf(seen: Seen, battery: Battery | null, leaf: LeafConfig): Finding[] {
  const strokes = {
    extend: strokesOf(seen, leaf, 'extend'),
    retract: strokesOf(seen, leaf, 'retract'),
  };
  const dead = deadOf(seen, leaf, strokes);
  return dead.length > 0 ? dead : slowOf(leaf, strokes, battery);
}

/** Whole strokes: those that began at the other end, with the rail live. */
function strokesOf(seen: Seen, leaf: LeafConfig, direction: Direction): Stroke[] {
  const far = seen.inputs[`${leaf.name}.${FAR[direction]}`];
  const near = seen.inputs[`${leaf.name}.${NEAR[direction]}`];
  const power = seen.inputs['actuatorPower'];
  return stretchesOn(seen.outputs[`${leaf.name}.${direction}`], seen.endT).flatMap(
    ({ from, to }) => {
      const powered = power === undefined || levelAt(power, to);
      if (!levelAt(near, from) || to - from < DRIVEN_MS || !powered) return [];
      const made = far?.find((level) => level.on && level.t > from && level.t <= to);
      const left = near?.some((level) => !level.on && level.t > from && level.t <= to) ?? false;
      return [{ t: from, ms: made === undefined ? null : made.t - from, left }];
    },
  );
}

function deadOf(seen: Seen, leaf: LeafConfig, strokes: Record<Direction, Stroke[]>): Finding[] {
  if (raised(seen, 'both-ends-made', leaf)) return [];
  const last = { extend: strokes.extend.at(-1), retract: strokes.retract.at(-1) };
  const only = (['extend', 'retract'] as const).find((to) => last[to]?.left === false);
  if (only === undefined) return [];
  const failed = strokes[only].filter(({ left }) => !left);
  const other = only === 'extend' ? 'retract' : 'extend';
  const times = failed.length;
  if (raised(seen, 'leaf-moved-unbidden', leaf)) {
    const said = `${leaf.name}: went by itself, then driven to ${only} ${times} time(s) and stayed`;
    return [finding('relay-welded', `${leaf.name}.${other}`, times, 'times', said)];
  }
  const said = `${leaf.name}: driven to ${only} ${times} time(s), did not leave its end`;
  // Only a stroke of the other direction that went well since tells a relay from a fuse.
  const since = failed[0]?.t ?? Infinity;
  const moves = strokes[other].some(({ left, t }) => left && t > since);
  if (moves) return [finding('relay-dead', `${leaf.name}.${only}`, times, 'times', said)];
  return [finding('leaf-dead', leaf.name, times, 'times', said)];
}

function raised({ events }: Seen, fault: FaultName, leaf: LeafConfig): boolean {
  return events.some(
    ({ event }) =>
      event.kind === 'fault' && event.on && event.fault === fault && event.detail === leaf.name,
  );
}

function slowOf(
  leaf: LeafConfig,
  strokes: Record<Direction, Stroke[]>,
  battery: Battery | null,
): Finding[] {
  const { name, travelMs } = leaf;
  const took = [...strokes.extend, ...strokes.retract].flatMap(({ ms }) =>
    ms === null ? [] : [ms],
  );
  const late = [...strokes.extend, ...strokes.retract].filter(
    ({ ms, left }) => ms === null && left,
  );
  const limit = SLOW_SHARE * travelMs;
  // Where none arrives, each took longer than it was driven; where some do, a switch may be dead.
  const ms = median(took.length >= 2 ? took : [...took, ...late.map(() => leaf.maxOnMs)]);
  if (took.length + late.length < LEAST_STROKES || ms <= limit) return [];
  const said = `${name}: ${Math.round(ms)} ms a stroke, ${travelMs} ms at the lowest voltage${inVolts(battery)}`;
  if (battery === null) return [finding('leaf-slow', name, ms, 'ms', said)];
  return [finding(battery.low ? 'leaf-slow-volts' : 'leaf-slow-stiff', name, ms, 'ms', said)];
}

function inVolts(battery: Battery | null): string {
  if (battery === null) return '';
  const { restVolts, loadVolts } = battery;
  const moving = loadVolts === null ? '' : ` and ${loadVolts.toFixed(1)} V moving`;
  return `; ${restVolts.toFixed(1)} V at rest${moving}`;
}
