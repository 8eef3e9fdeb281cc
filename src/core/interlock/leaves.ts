/** One leaf's strokes: beginning, ending by switch or time, being cut, and what its switches say. */
import type { Event } from '../trace.ts';
import { TICK_MS } from '../trace.ts';
import type { ContactsResult } from '../contacts/contacts.ts';
import type { Condition } from '../faults/faults.ts';
import type { Direction, LeafConfig, LeafEnd } from './gate.ts';
import { dutyUsedMs, spentDutyMs } from './duty.ts';
import type { LeafState, StrokeKind } from './state.ts';

/** Start end still made after this share of the travel: the leaf did not start. */
const START_SHARE = 0.3;
/** Far end made sooner than this share of the travel: not believable. */
const SOON_SHARE = 0.5;

export function initialLeaf(leaf: LeafConfig): LeafState {
  return {
    position: 'unknown',
    assumed: true,
    strokes: 0,
    stroke: null,
    extendOffAt: null,
    retractOffAt: null,
    dutyUsedMs: spentDutyMs(leaf),
    dutyAt: null,
  };
}

export const endOf = (direction: Direction): LeafEnd =>
  direction === 'extend' ? 'extended' : 'retracted';
export const directionTo = (end: LeafEnd): Direction => (end === 'extended' ? 'extend' : 'retract');

/**
 * The other direction has been off for the dead time, and this one for a tick: an output that goes
 * on for another reason goes off first, so that each on-time has its own limit.
 */
export function deadTimeOver(
  state: LeafState,
  direction: Direction,
  t: number,
  deadTimeMs: number,
): boolean {
  const { extendOffAt, retractOffAt } = state;
  const [ownAt, offAt] =
    direction === 'extend' ? [extendOffAt, retractOffAt] : [retractOffAt, extendOffAt];
  if (ownAt !== null && t - ownAt < TICK_MS) return false;
  return offAt !== null && t - offAt >= deadTimeMs;
}

export function begin(
  leaf: LeafConfig,
  state: LeafState,
  direction: Direction,
  kind: StrokeKind,
  t: number,
): LeafState {
  return {
    ...state,
    stroke: { direction, kind, from: state.position, beganAt: t, madeAt: null },
    position: 'unknown',
    dutyUsedMs: dutyUsedMs(leaf, state, t),
    dutyAt: t,
  };
}

/** Takes a stroke's output off. `reached` tells that the leaf is at its end. */
export function end(state: LeafState, t: number, reached: boolean, known: boolean): LeafState {
  const stroke = state.stroke;
  if (stroke === null) return state;
  const homed = stroke.kind === 'homing' && reached;
  return {
    ...state,
    stroke: null,
    position: reached ? endOf(stroke.direction) : 'unknown',
    assumed: !known,
    strokes: homed ? 0 : state.strokes + 1,
    extendOffAt: stroke.direction === 'extend' ? t : state.extendOffAt,
    retractOffAt: stroke.direction === 'retract' ? t : state.retractOffAt,
    dutyUsedMs: state.dutyUsedMs + (t - stroke.beganAt),
    dutyAt: t,
  };
}

export function strokeEvent(
  leaf: string,
  state: LeafState,
  phase: 'begun' | 'ended' | 'cut',
): Event {
  const direction = state.stroke?.direction ?? 'extend';
  return { kind: 'stroke', leaf, direction, phase };
}

/**
 * Ends a stroke that is due, by its far end switch and over-travel or by its limit. Outputs change
 * only when `step` is called, so one that would pass its limit before the next tick goes off now.
 */
export function endIfDue(
  leaf: LeafConfig,
  state: LeafState,
  t: number,
  contacts: ContactsResult,
): { state: LeafState; ended: boolean; conditions: Condition[] } {
  const stroke = state.stroke;
  if (stroke === null) return { state, ended: false, conditions: [] };
  const onMs = t - stroke.beganAt;
  const limit = onMs + TICK_MS > leaf.maxOnMs;
  if (!leaf.endSwitches) {
    if (!limit) return { state, ended: false, conditions: [] };
    return { state: end(state, t, stroke.kind !== 'hold', false), ended: true, conditions: [] };
  }
  const far = contacts.contacts[`${leaf.name}.${endOf(stroke.direction)}`];
  const madeAt = stroke.madeAt ?? (far?.level === true ? t : null);
  const made: LeafState = { ...state, stroke: { ...stroke, madeAt } };
  if (madeAt !== null && (t - madeAt >= leaf.overTravelMs || limit)) {
    return { state: end(made, t, true, true), ended: true, conditions: [] };
  }
  if (!limit) return { state: made, ended: false, conditions: [] };
  const conditions: Condition[] =
    stroke.kind === 'hold' ? [] : [{ fault: 'end-not-reached', detail: leaf.name }];
  return { state: end(made, t, false, true), ended: true, conditions };
}

/**
 * What is wrong with a leaf's end switches in this step. None of it is retried.
 * @param deadTimeMs for so long, or for the over-travel, a leaf may run on after its output went off
 */
export function switchFaults(
  leaf: LeafConfig,
  state: LeafState,
  t: number,
  contacts: ContactsResult,
  lettingGo: boolean,
  deadTimeMs: number,
): Condition[] {
  if (!leaf.endSwitches) return [];
  const detail = leaf.name;
  const extended = contacts.contacts[`${leaf.name}.extended`];
  const retracted = contacts.contacts[`${leaf.name}.retracted`];
  if (extended?.level === true && retracted?.level === true) {
    return [{ fault: 'both-ends-made', detail }];
  }
  const stroke = state.stroke;
  if (stroke === null) {
    const runOnMs = Math.max(deadTimeMs, leaf.overTravelMs);
    const runsOn = (offAt: number | null): boolean => offAt !== null && t - offAt < runOnMs;
    const extending = extended?.rose === true || retracted?.fell === true;
    const retracting = retracted?.rose === true || extended?.fell === true;
    const unbidden =
      (extending && !runsOn(state.extendOffAt)) || (retracting && !runsOn(state.retractOffAt));
    if (!unbidden) return [];
    return [{ fault: lettingGo ? 'end-lost-letting-go' : 'leaf-moved-unbidden', detail }];
  }
  const far = stroke.direction === 'extend' ? extended : retracted;
  const near = stroke.direction === 'extend' ? retracted : extended;
  const onMs = t - stroke.beganAt;
  if (near?.level === true && onMs > leaf.travelMs * START_SHARE) {
    return [{ fault: 'leaf-did-not-start', detail }];
  }
  const whole = stroke.from !== 'unknown' && stroke.from !== endOf(stroke.direction);
  if (far?.level === true && whole && onMs < leaf.travelMs * SOON_SHARE) {
    return [{ fault: 'end-too-soon', detail }];
  }
  return [];
}

/** The position that the switches show while nothing drives the leaf. */
export function seenPosition(leaf: LeafConfig, contacts: ContactsResult): LeafEnd | 'unknown' {
  const extended = contacts.contacts[`${leaf.name}.extended`]?.level === true;
  const retracted = contacts.contacts[`${leaf.name}.retracted`]?.level === true;
  if (extended === retracted) return 'unknown';
  return extended ? 'extended' : 'retracted';
}
