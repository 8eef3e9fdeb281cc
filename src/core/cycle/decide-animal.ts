/** The animal on the crate: its decision, changes of it, the call, and the let-go signal. */
import type { Wait } from '../interlock/state.ts';
import type { Rule } from '../trace.ts';
import { cutsKg, decide } from '../sortplan/decide.ts';
import type { AnimalFacts, Decision } from '../sortplan/plan.ts';
import { isSure } from '../weighing/sure.ts';
import type { Oddity, WeighingResult } from '../weighing/result.ts';
import type { AnimalState, CycleConfig, CycleWork } from './state.ts';

/** Changes of a decision after the first before the animal is held and the operator called. */
const MOST_REVISIONS = 2;

const ODDITY_WORDS: Record<Oddity, string> = {
  'front-feet-only': 'only the front feet are on',
  leaning: 'something leans on the crate or lifts it',
  'two-animals': 'two animals are on',
  overload: 'the weigh head is overloaded',
  negative: 'the weight is below zero',
  stuck: 'the weight does not move',
  'zero-unknown': 'the zero of the crate is not known',
  'empty-drifting': 'the empty crate drifts',
  'unit-changed': 'the weigh head changed its unit',
  'readings-late': 'the readings come late',
  'weigh-head-error': 'the weigh head reports an error',
};

export const roundKg = (kg: number): number => Math.round(kg * 100) / 100;

/** Looks at the animal once more; until it is let go the estimate goes on improving. */
export function decideAnimal(work: CycleWork, animal: AnimalState): AnimalState {
  const { config, s, t, sight } = work;
  const { weighing } = sight;
  const odd = oddity(config, animal, weighing);
  const now = odd === null ? basisNow(config, weighing) : null;
  const a: AnimalState = { ...animal };
  if (a.weighedAt === null && weighing.estimate !== null) a.weighedAt = t;
  if (now !== null && weighing.estimate !== null) {
    a.goodKg = roundKg(weighing.estimate.kg);
    a.goodU95Kg = roundKg(weighing.estimate.u95Kg);
  }
  const facts = factsOf(work, a, now ?? (odd === null ? a.basis : null));
  let decision = decide(config.plan, facts, s.counts);
  const turned =
    now === null &&
    decision !== null &&
    decision.rule !== 'by-hand' &&
    byWeight(a.decision) &&
    differs(decision, a.decision);
  // The weight speaks against the decision but is not good enough for another: wait, do not let go.
  if (turned) decision = null;
  a.doubtful = (odd !== null && a.byHand === null) || turned;
  if (now !== null) a.basis = now;
  // Silence takes the signal back and says nothing against what good readings decided.
  const stands = byWeight(a.decision) && !weighing.fresh;
  const late = a.enteredAt !== null && t - a.enteredAt >= config.plan.decide.callAfterMs;
  if (late && !stands && a.byHand === null && (decision === null || a.doubtful)) {
    const unsure = odd ?? (turned ? 'the weight has changed' : 'the weight does not settle');
    decision = decide(config.plan, { ...facts, basis: null, unsure }, s.counts);
    // From here the plan's way for the unsure holds good, until the weight says better.
    if (decision !== null) a.doubtful = false;
  }
  return decision === null ? a : take(work, a, decision);
}

function oddity(config: CycleConfig, animal: AnimalState, weighing: WeighingResult): string | null {
  if (animal.flags.includes('two-tags')) return 'two tags were read';
  const { work } = config.plan;
  if (work === 'sort-only' || work === 'count-only') return null;
  const first = weighing.oddities[0];
  return first === undefined ? null : ODDITY_WORDS[first];
}

function basisNow(config: CycleConfig, weighing: WeighingResult): 'settled' | 'sure' | null {
  const { estimate } = weighing;
  if (estimate === null || !weighing.zeroKnown || !weighing.fresh) return null;
  const { settle, confidence, hysteresisKg } = config.plan.decide;
  if (settle !== undefined && estimate.settled) return 'settled';
  if (confidence === undefined) return null;
  return isSure(estimate, cutsKg(config.plan), confidence, hysteresisKg) ? 'sure' : null;
}

function factsOf(work: CycleWork, a: AnimalState, basis: AnimalFacts['basis']): AnimalFacts {
  const { config, s, t, sight } = work;
  const { estimate } = sight.weighing;
  const decided = a.firstDecidedAt === null ? null : (a.decision?.lot ?? null);
  return {
    kg: estimate === null ? null : roundKg(estimate.kg),
    uKg: estimate === null ? null : estimate.uKg,
    basis,
    unsure: null,
    tag: a.tag,
    known: a.known,
    byHand: a.byHand,
    marks: a.marks,
    afterMs: t - (a.weighedAt ?? a.enteredAt ?? t),
    previousLot: byWeight(a.decision) ? decided : null,
    tagsOff: s.tagsOff || config.noReader === true,
  };
}

const WEIGHED: readonly Rule[] = ['settled', 'sure', 'gain', 'split'];

function byWeight(decision: Decision | null): boolean {
  return decision !== null && WEIGHED.includes(decision.rule);
}

function differs(one: Decision, other: Decision | null): boolean {
  return other === null || one.lot !== other.lot || one.exit !== other.exit;
}

const holds = (decision: Decision): boolean => decision.exit === null && decision.stay !== true;

function take(work: CycleWork, a: AnimalState, decision: Decision): AnimalState {
  if (!differs(decision, a.decision) && a.decision?.stay === decision.stay) return a;
  if (holds(decision)) return holdAndCall(work, a, decision);
  const first = a.firstDecidedAt === null;
  const personal = decision.rule === 'by-hand' || a.decision?.rule === 'by-hand';
  if (!first && a.revisions >= MOST_REVISIONS && !personal) {
    if (a.decision !== null && holds(a.decision)) return a;
    const reason = `changed twice already; now ${decision.reason}`;
    return holdAndCall(work, a, { lot: null, exit: null, rule: 'unsure', reason, flags: [] });
  }
  const { t, sight } = work;
  const kg = sight.weighing.estimate === null ? null : roundKg(sight.weighing.estimate.kg);
  const revisions = first ? 0 : a.revisions + 1;
  const now = { decision, revisions, decidedAt: t, decisionKg: kg, calledAt: null };
  const taken = { ...a, ...now, firstDecidedAt: a.firstDecidedAt ?? t };
  const { lot, exit, rule, reason } = decision;
  const animal = a.number;
  work.events.push({ kind: 'decided', animal, lot, exit, kg, rule, reason, revision: revisions });
  return taken;
}

function holdAndCall(work: CycleWork, a: AnimalState, decision: Decision): AnimalState {
  const { t } = work;
  work.events.push({ kind: 'unsure', animal: a.number, reason: decision.reason });
  work.events.push({ kind: 'call', reason: decision.reason });
  return { ...a, decision, calledAt: t };
}

/**
 * Gives the let-go signal once everything stands where it should, or takes it back: when the exit
 * changes it goes first, and the leaves wait for it.
 */
export function signalAnimal(work: CycleWork, a: AnimalState): AnimalState {
  const { config, s, t, sight } = work;
  const { gate } = sight;
  const wanted = a.decision?.stay === true ? gate.at : (a.decision?.exit ?? null);
  const back = a.takenBackAt === null || t - a.takenBackAt >= config.crate.takeBackMs;
  const may =
    s.mode === 'running' &&
    wanted !== null &&
    gate.at === wanted &&
    !gate.moving &&
    back &&
    !a.doubtful &&
    weighed(work, a) &&
    !heldBack(work, a);
  if (may && a.readyAt === null) {
    work.events.push({ kind: 'ready', animal: a.number, exit: wanted });
    return { ...a, readyAt: t, calledAt: null, waitsAt: null };
  }
  if (!may && a.readyAt !== null) return { ...a, readyAt: null, takenBackAt: t };
  return callForLook(work, a, wanted);
}

/** A tag may send an animal before its weight is good: the weight is waited for until the call. */
function weighed({ config, t, sight }: CycleWork, a: AnimalState): boolean {
  const { plan } = config;
  const rule = a.decision?.rule;
  if (a.basis !== null || (rule !== 'tag' && rule !== 'withdrawal')) return true;
  if (plan.work === 'sort-only' || !sight.weighing.fresh) return true;
  return a.enteredAt === null || t - a.enteredAt >= plan.decide.callAfterMs;
}

const LOOKS: Partial<Record<Wait, string>> = {
  confirm: 'nobody has confirmed that the lane is clear: look, then confirm',
  lane: 'the lane is not seen clear: look, then confirm',
  position: 'a leaf stands between its ends: pause, then start to send the leaves home',
  power: 'the actuators have no power: reset the drop-out relay',
};

const EMPTY_FIRST =
  'the leaves go home once the crate is empty: shut the back, let the animal out, shut the front';

/** It has its exit, but the gate waits for a person: called once, after the lane had its time. */
function callForLook(work: CycleWork, a: AnimalState, wanted: string | null): AnimalState {
  const { config, s, t, sight } = work;
  if (s.mode === 'homing' && sight.gate.waits.includes('crate')) return callForEmpty(work, a);
  const reason = sight.gate.waits.map((wait) => LOOKS[wait]).find((words) => words !== undefined);
  const sent = s.mode === 'running' && wanted !== null && sight.gate.at !== wanted;
  if (reason === undefined || !sent) return a.waitsAt === null ? a : { ...a, waitsAt: null };
  const since = a.waitsAt ?? t;
  if (a.calledAt !== null || t - since < config.times.lookMs + config.gate.laneHoldMs) {
    return { ...a, waitsAt: since };
  }
  work.events.push({ kind: 'call', reason });
  return { ...a, waitsAt: since, calledAt: t };
}

/** Homing waits for this animal to go: nothing but a person makes it, so it is called at once. */
function callForEmpty(work: CycleWork, a: AnimalState): AnimalState {
  if (a.calledAt !== null) return a;
  work.events.push({ kind: 'call', reason: EMPTY_FIRST });
  return { ...a, calledAt: work.t };
}

/** Records or battery failed before this animal came: the one before it was the last. */
function heldBack({ sight }: CycleWork, a: AnimalState): boolean {
  return sight.faults.active.some(
    ({ fault, since }) =>
      (fault === 'records-not-saved' || fault === 'battery-low') &&
      (a.enteredAt === null || since <= a.enteredAt),
  );
}

/** The exit that the gate should be moved to for this animal, or null for none now. */
export function wantedExit(work: CycleWork, a: AnimalState): string | null {
  if (a.opening !== null || a.decision === null) return null;
  const { config, t } = work;
  if (a.takenBackAt !== null && t - a.takenBackAt < config.crate.takeBackMs) return null;
  return a.decision.exit;
}
