/** Strokes by the cycle's wish: homing leaf by leaf, and bringing the leaves to an exit. */
import type { Direction, LeafConfig } from './gate.ts';
import { dutyAllows } from './duty.ts';
import { begin, deadTimeOver, directionTo } from './leaves.ts';
import { mustEmpty, waits } from './permits.ts';
import type { StrokeKind } from './state.ts';
import { anyStroke, type Work } from './work.ts';

/** Sends each leaf to its home end, one after the other. True when the last one has come home. */
export function homing(work: Work): boolean {
  const { config, s, request } = work;
  if (request.mode !== 'homing' || s.tripped) return false;
  if (request.started) s.toHome = config.gate.leaves.map((leaf) => leaf.name);
  if (anyStroke(s)) return false;
  const home = config.gate.exits[config.gate.home];
  while (s.toHome.length > 0) {
    const leaf = config.gate.leaves.find((l) => l.name === s.toHome[0]);
    const target = leaf === undefined ? undefined : home?.[leaf.name];
    const state = leaf === undefined ? undefined : s.leaves[leaf.name];
    if (leaf === undefined || target === undefined || state === undefined) return false;
    if (!(state.position === target && (leaf.endSwitches || state.strokes === 0))) {
      if (!tryBegin(work, leaf, directionTo(target), 'homing')) s.warningAt = null;
      return false;
    }
    s.toHome = s.toHome.slice(1);
  }
  // Where nothing had to move the crate has to be empty all the same.
  if (mustEmpty(s, work.sight)) return false;
  s.homeFirst = false;
  s.emptyFirst = false;
  s.warningAt = null;
  return true;
}

/** Brings every leaf to where the wanted exit needs it. */
export function moveTo(work: Work): void {
  const { config, s, request } = work;
  const wanted = request.exit === null ? undefined : config.gate.exits[request.exit];
  if (request.mode === 'homing') return;
  if (wanted === undefined || request.mode !== 'running') {
    if (!anyStroke(s)) s.warningAt = null;
    return;
  }
  let mayMove = false;
  for (const leaf of config.gate.leaves) {
    const target = wanted[leaf.name];
    const state = s.leaves[leaf.name];
    if (target === undefined || state === undefined) continue;
    if (state.stroke !== null || state.position === target) continue;
    const kind = request.byHand ? 'by-hand' : 'automatic';
    if (tryBegin(work, leaf, directionTo(target), kind)) mayMove = true;
  }
  if (!mayMove && !anyStroke(s)) s.warningAt = null;
}

/** Begins a stroke once its warning has been given; false when something does not permit it. */
function tryBegin(
  work: Work,
  leaf: LeafConfig,
  direction: Direction,
  kind: Exclude<StrokeKind, 'hold'>,
): boolean {
  const { config, s, t, request, sight } = work;
  const state = s.leaves[leaf.name];
  if (state === undefined || !dutyAllows(leaf, state, t)) return false;
  if (waits(config, s, t, request, sight, kind).length > 0) return false;
  s.warningAt ??= t;
  const warnMs = s.warned ? config.gate.warnMs.later : config.gate.warnMs.first;
  if (t - s.warningAt < warnMs) return true;
  if (!deadTimeOver(state, direction, t, config.gate.deadTimeMs)) return true;
  if (s.strokeBeganAt !== null && t - s.strokeBeganAt < config.gate.staggerMs) return true;
  s.leaves[leaf.name] = begin(leaf, state, direction, kind, t);
  s.strokeBeganAt = t;
  s.warned = true;
  s.emptyFirst = false;
  work.events.push({ kind: 'stroke', leaf: leaf.name, direction, phase: 'begun' });
  return true;
}
