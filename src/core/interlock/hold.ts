/**
 * Hold-to-run: one leaf moves while a person's finger renews it. In the fitting mode both
 * directions, in any other mode only the leaf's opening direction (freeing).
 */
import type { Direction, LeafConfig } from './gate.ts';
import { dutyAllows } from './duty.ts';
import { begin, deadTimeOver, end, endOf, strokeEvent } from './leaves.ts';
import { basic } from './permits.ts';
import type { InterlockConfig, InterlockState } from './state.ts';
import type { Work } from './work.ts';

/**
 * A renewal is worth this long. With renewals at most 250 ms old when they come, the output is off
 * within 400 ms of the last true touch.
 */
export const HOLD_LIFE_MS = 140;
export const HOLD_LONGEST_MS = 30_000;

export function holdToRun(work: Work): void {
  const { s, t, request } = work;
  if (request.hold !== null) renew(s, request.hold, t);
  const hold = s.hold;
  if (hold === null) return;
  const gone = t - hold.renewedAt >= HOLD_LIFE_MS;
  const over = gone || t - hold.beganAt >= HOLD_LONGEST_MS;
  const wait = basic(work.sight.contacts);
  if (over || wait.some((reason) => reason !== 'power')) release(work);
  else if (!hold.spent) drive(work, hold.output);
  if (gone) s.hold = null;
}

/** A renewal of another output is a new press; one of a press that has ended is nothing. */
function renew(s: InterlockState, output: string, t: number): void {
  const going = s.hold?.output === output ? s.hold : null;
  s.hold =
    going === null
      ? { output, beganAt: t, renewedAt: t, spent: false }
      : { ...going, renewedAt: t };
}

/** Takes a held leaf's output off; only a new press drives it again. */
function release({ s, t, events }: Work): void {
  if (s.hold !== null) s.hold = { ...s.hold, spent: true };
  for (const [name, leaf] of Object.entries(s.leaves)) {
    if (leaf.stroke?.kind !== 'hold') continue;
    events.push(strokeEvent(name, leaf, 'ended'));
    s.leaves[name] = end(leaf, t, false, false);
  }
}

function drive(work: Work, output: string): void {
  const { config, s, t, request, events } = work;
  const leaf = config.gate.leaves.find((l) => output.startsWith(`${l.name}.`));
  const direction = output.slice(output.lastIndexOf('.') + 1);
  if (leaf === undefined || (direction !== 'extend' && direction !== 'retract')) return;
  const others = Object.entries(s.leaves).some(
    ([name, l]) =>
      l.stroke !== null &&
      (name !== leaf.name || l.stroke.kind !== 'hold' || l.stroke.direction !== direction),
  );
  if (others) {
    release(work);
    return;
  }
  const state = s.leaves[leaf.name];
  if (state === undefined || state.stroke !== null) return;
  const fitting = request.mode === 'fitting' && !s.tripped;
  if (!fitting && direction !== leaf.opening) return;
  if (fitting && !zonesAllow(config, s, leaf, direction)) return;
  if (basic(work.sight.contacts).length > 0 || !dutyAllows(leaf, state, t)) return;
  if (!deadTimeOver(state, direction, t, config.gate.deadTimeMs)) return;
  s.leaves[leaf.name] = begin(leaf, state, direction, 'hold', t);
  events.push({ kind: 'stroke', leaf: leaf.name, direction, phase: 'begun' });
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
