/** One line an animal, as `fank replay --json` prints it. */
import type { State } from '../core/step.ts';
import type { Crossing } from '../core/trace.ts';

/** The line of one animal; its fields and their order are a contract. */
export function animalLine(trace: string, c: Crossing): Record<string, unknown> {
  return {
    trace,
    animal: c.animal,
    enteredAt: c.enteredAt,
    firstDecidedAt: c.firstDecidedAt,
    decidedAt: c.decidedAt,
    letGoAt: c.letGoAt,
    leftAt: c.leftAt,
    lot: c.lot,
    exit: c.exit,
    decisionKg: c.decisionKg,
    recordedKg: c.recordedKg,
    uncertaintyKg: c.uncertaintyKg,
    rule: c.rule,
    reason: c.reason,
    revisions: c.revisions,
    unsure: c.unsure,
    flags: c.flags,
  };
}

/** The animal that is still on at the end of a trace, or null. */
export function stillOn(state: State): Crossing | null {
  const a = state.cycle.animal;
  if (a === null) return null;
  if (a.crossing !== null) return a.crossing;
  const decided = a.decision;
  return {
    animal: a.number,
    session: state.cycle.session,
    tag: a.tag,
    enteredAt: a.enteredAt,
    firstDecidedAt: a.firstDecidedAt,
    decidedAt: a.decidedAt,
    letGoAt: null,
    leftAt: null,
    lot: decided?.lot ?? null,
    exit: decided?.exit ?? null,
    decisionKg: a.decisionKg,
    recordedKg: null,
    uncertaintyKg: null,
    rule: decided?.rule ?? null,
    reason: decided?.reason ?? null,
    revisions: a.revisions,
    unsure: decided === null || decided.rule === 'unsure',
    flags: a.flags,
    marks: a.marks,
  };
}
