/**
 * Hold-to-run: one leaf moves while a person's finger renews it. In the fitting mode both
 * directions, in any other mode only the leaf's opening direction (freeing).
 */
import { TICK_MS } from '../trace.ts';
import type { Direction, GateConfig, LeafConfig } from './gate.ts';
import { dutyAllows } from './duty.ts';
import { begin, deadTimeOver, end, endOf, strokeEvent } from './leaves.ts';
import { basic } from './permits.ts';
import type { InterlockConfig, InterlockState } from './state.ts';
import { cutAll, type Work } from './work.ts';

/** The leaf and direction that an output's name means, or null where the gate has none such. */
export function outputOf(
  gate: GateConfig,
  output: string,
): { leaf: LeafConfig; direction: Direction } | null {
  for (const leaf of gate.leaves) {
    if (output === `${leaf.name}.extend`) return { leaf, direction: 'extend' };
    if (output === `${leaf.name}.retract`) return { leaf, direction: 'retract' };
  }
  return null;
}

export function holdToRun(work: Work): void {
  const { config, s, t, request } = work;
  if (request.hold !== null) renew(s, request.hold.output, request.hold.press, t);
  const hold = s.hold;
  if (hold === null) return;
  // Outputs change only when this runs: what would last too long at the next tick ends now.
  const next = t + TICK_MS;
  const gone = next - hold.renewedAt > config.times.holdLifeMs;
  const over = gone || next - hold.beganAt > config.times.holdLongestMs;
  const barred = basic(work.sight.contacts).some((reason) => reason !== 'power');
  // A start ends every press: from then on the gate moves for the animals.
  if (over || barred || request.started) release(work);
  else if (!hold.spent) drive(work, hold.output);
  if (!gone) return;
  s.hold = null;
  s.endedPress = hold.press;
}

/** A renewal of another output is a new press; one of a press that has ended is nothing. */
function renew(s: InterlockState, output: string, press: number | null, t: number): void {
  if (press !== null && press === s.endedPress) return;
  const going = s.hold?.output === output && s.hold.press === press ? s.hold : null;
  s.hold =
    going === null
      ? { output, press, beganAt: t, renewedAt: t, spent: false }
      : { ...going, renewedAt: t };
}

/** Takes a held leaf's output off; only a new press drives it again. */
function release(work: Work): void {
  const { s } = work;
  if (s.hold !== null) s.hold = { ...s.hold, spent: true };
  letGoOf(work);
}

function letGoOf({ s, t, events }: Work): void {
  for (const [name, leaf] of Object.entries(s.leaves)) {
    if (leaf.stroke?.kind !== 'hold') continue;
    events.push(strokeEvent(name, leaf, 'ended'));
    s.leaves[name] = end(leaf, t, false, false);
  }
}

function drive(work: Work, output: string): void {
  const { config, s, t, request, events } = work;
  const meant = outputOf(config.gate, output);
  const state = meant === null ? undefined : s.leaves[meant.leaf.name];
  const fitting = request.mode === 'fitting' && !s.tripped;
  if (meant === null || state === undefined || !mayHold(work, fitting, meant)) {
    release(work);
    return;
  }
  const { leaf, direction } = meant;
  const strokes = Object.entries(s.leaves);
  // Whoever frees a leaf comes before every other motion.
  // Its output goes off before it may go on for the finger: each on-time has its own limit.
  if (strokes.some(([, l]) => l.stroke !== null && l.stroke.kind !== 'hold')) {
    cutAll(work, false);
    s.toHome = [];
    return;
  }
  const others = strokes.some(
    ([name, l]) =>
      l.stroke?.kind === 'hold' && (name !== leaf.name || l.stroke.direction !== direction),
  );
  // A finger that went to another button: this one's press goes on when the first leaf is off.
  if (others) {
    letGoOf(work);
    return;
  }
  if (state.stroke !== null) return;
  if (basic(work.sight.contacts).length > 0 || !dutyAllows(leaf, state, t)) return;
  if (!deadTimeOver(state, direction, t, config.gate.deadTimeMs)) return;
  s.leaves[leaf.name] = begin(leaf, state, direction, 'hold', t);
  events.push({ kind: 'stroke', leaf: leaf.name, direction, phase: 'begun' });
}

function mayHold(
  { config, s }: Work,
  fitting: boolean,
  { leaf, direction }: { leaf: LeafConfig; direction: Direction },
): boolean {
  return fitting ? zonesAllow(config, s, leaf, direction) : direction === leaf.opening;
}

/** No forbidden combination of zones on the way or at the end; an unknown leaf may be anywhere. */
function zonesAllow(
  config: InterlockConfig,
  s: InterlockState,
  moved: LeafConfig,
  direction: Direction,
): boolean {
  return !config.gate.forbidden.some((combination) =>
    Object.entries(combination).every(([name, zone]) => {
      if (name === moved.name) return zone === 'between' || zone === endOf(direction);
      const position = s.leaves[name]?.position ?? 'unknown';
      return position === 'unknown' || position === zone;
    }),
  );
}
