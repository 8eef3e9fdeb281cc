import { stringify } from 'yaml';
import type { z } from 'zod';
import type { Lot, Plan } from '../core/sortplan/plan.ts';
import { hashOf } from './hash.ts';
import { check } from './issues.ts';
import { planProblems } from './plan-problems.ts';
import type { PlanProblem } from './plan-problems.ts';
import { planSchema } from './plan-schema.ts';
import { loadYaml, sorted } from './yaml.ts';
import type { Loaded } from './yaml.ts';

/**
 * Reads and checks a sort plan file.
 * @param exits names of the gate's exits, or null where no gate is known
 * @returns the plan, or everything that is wrong with it at file:line:column
 */
export function loadPlan(
  text: string,
  file: string,
  exits: readonly string[] | null,
): Loaded<Plan> {
  const read = loadYaml(text, file, planSchema);
  if (!read.ok) return read;
  const plan = withoutVersion(read.value);
  const errors = planProblems(plan, exits).map((problem) =>
    read.source.error(problem.path, problem.message, problem.remedy),
  );
  return errors.length > 0 ? { ok: false, errors: sorted(errors) } : { ok: true, value: plan };
}

/** The same for a plan that comes as a value: saved from the page, or with a path changed. */
export function checkPlan(
  value: unknown,
  exits: readonly string[] | null,
): { ok: true; plan: Plan } | { ok: false; problems: PlanProblem[] } {
  const versioned =
    typeof value === 'object' && value !== null && !('plan' in value)
      ? { plan: 1, ...value }
      : value;
  const checked = check(planSchema, versioned);
  if ('findings' in checked) {
    const problems = checked.findings.map(({ path, message, remedy }) => ({
      path: path.map((step) => (typeof step === 'number' ? step : String(step))),
      message,
      remedy,
    }));
    return { ok: false, problems };
  }
  const plan = withoutVersion(checked.value);
  const problems = planProblems(plan, exits);
  return problems.length > 0 ? { ok: false, problems } : { ok: true, plan };
}

/** The text of a plan as a file; reading it gives the same plan. */
export function planText(plan: Plan): string {
  return stringify(
    { plan: 1, ...asWritten(plan) },
    { lineWidth: 100, aliasDuplicateObjects: false },
  );
}

/**
 * The version of a plan, SHA-256 in hex: the same for the same meaning, whatever the order of keys in
 * its file; the facts of a session's mob are not part of it.
 */
export function planVersion(plan: Plan): string {
  return hashOf(asWritten(plan));
}

function withoutVersion(file: z.output<typeof planSchema>): Plan {
  const plan: Plan & { plan?: 1 } = { ...file };
  delete plan.plan;
  return plan;
}

/** The plan without what only a session knows. */
function asWritten(plan: Plan): Plan {
  const written = { ...plan };
  delete written.medicine;
  return written;
}

/**
 * What a new plan starts with: stores below 40 kg, fit 40 to 45, heavy from 45.
 * @param exits names of the gate's exits, two or more; with two, fit and heavy share one
 */
export function newPlan(exits: readonly string[]): Plan {
  const usual = ['left', 'ahead', 'right'];
  const named = usual.every((name) => exits.includes(name)) ? usual : exits;
  const at = (place: number): string => named[Math.min(place, named.length - 1)] ?? 'ahead';
  const lots: Lot[] = [
    { name: 'Stores', exit: at(0), belowKg: 40 },
    { name: 'Fit', exit: at(1), belowKg: 45, forSlaughter: true },
    { name: 'Heavy', exit: at(2), forSlaughter: true },
  ];
  return {
    name: 'New plan',
    animals: { fromKg: 12, toKg: 65 },
    lots,
    decide: {
      hysteresisKg: 0.3,
      settle: { withinKg: 0.5, forMs: 1000 },
      confidence: 0.995,
      callAfterMs: 5000,
    },
    unsure: 'hold',
  };
}
