import { markProblem } from '../core/sortplan/marks.ts';
import type { MarkCondition, MarkRule, Plan } from '../core/sortplan/plan.ts';
import { kgWords } from '../core/sortplan/words.ts';
import { unknownLot } from './plan-places.ts';
import type { PlanProblem } from './plan-problems.ts';

type Path = (string | number)[];

/** Tag lists, daily gain and marks: lots that exist, limits in order, marks that there are. */
export function ruleProblems(plan: Plan): PlanProblem[] {
  return [...listProblems(plan), ...gainProblems(plan), ...marksProblems(plan)];
}

function listProblems(plan: Plan): PlanProblem[] {
  const lists = plan.tags?.lists ?? [];
  return lists.flatMap((list, index) => {
    const path = ['tags', 'lists', index];
    const problems = unknownLot(plan, list.lot, [...path, 'lot']);
    if (lists.findIndex((one) => one.file === list.file) < index)
      problems.push({
        path: [...path, 'file'],
        message: `the list ${list.file} stands twice`,
        remedy: 'Remove one of them.',
      });
    return problems;
  });
}

function gainProblems(plan: Plan): PlanProblem[] {
  return (plan.gain?.rules ?? []).flatMap((rule, index) => {
    const path = ['gain', 'rules', index];
    const { belowGramsPerDay: below, fromGramsPerDay: from } = rule;
    const problems = unknownLot(plan, rule.lot, [...path, 'lot']);
    if (below === undefined && from === undefined)
      problems.push({
        path,
        message: 'a gain rule without a limit would take every animal',
        remedy: 'Add belowGramsPerDay or fromGramsPerDay.',
      });
    if (below !== undefined && from !== undefined && from >= below)
      problems.push({
        path,
        message: `no gain is both from ${String(from)} and below ${String(below)} g a day`,
        remedy: 'Make belowGramsPerDay the greater one.',
      });
    return problems;
  });
}

function marksProblems(plan: Plan): PlanProblem[] {
  if (plan.marks === undefined) return [];
  const { offer, rules } = plan.marks;
  const twice = offer.findIndex((name, index) => offer.indexOf(name) < index);
  const problems: PlanProblem[] = [];
  if (twice !== -1)
    problems.push({
      path: ['marks', 'offer', twice],
      message: `${offer[twice] ?? ''} is offered twice`,
      remedy: 'Remove one of them.',
    });
  return [...problems, ...rules.flatMap((rule, index) => ruleProblem(plan, rule, index))];
}

function ruleProblem(plan: Plan, rule: MarkRule, index: number): PlanProblem[] {
  const path = ['marks', 'rules', index];
  const { fromKg, belowKg } = rule;
  const problems = unknownLot(plan, rule.lot, [...path, 'lot']);
  const least = fromKg ?? plan.animals.fromKg;
  const most = belowKg ?? plan.animals.toKg;
  if (least >= most)
    problems.push({
      path,
      message: `no animal of this mob is both from ${kgWords(least)} and below ${kgWords(most)} kg`,
      remedy: 'Move fromKg or belowKg.',
    });
  const conditions = rule.when.flatMap((condition, place) =>
    conditionProblems(condition, [...path, 'when', place]),
  );
  return [...problems, ...conditions];
}

function conditionProblems(condition: MarkCondition, path: Path): PlanProblem[] {
  const { mark, is, from, to } = condition;
  const range = from !== undefined || to !== undefined;
  if (range && mark !== 'condition')
    return [
      { path, message: `${mark} has no from and to`, remedy: 'Write is, or the mark alone.' },
    ];
  if (range && is !== undefined)
    return [{ path, message: 'is and a range together', remedy: 'Keep one of them.' }];
  if (from !== undefined && to !== undefined && from > to)
    return [
      {
        path,
        message: `no ${mark} is from ${String(from)} to ${String(to)}`,
        remedy: 'Swap them.',
      },
    ];
  // `is: false` asks for a mark that was not given, which any mark can be.
  const values = [is === false ? undefined : is, from, to].filter((value) => value !== undefined);
  return values.flatMap((value) => {
    const problem = markProblem({ name: mark, value });
    return problem === null ? [] : [{ path, message: problem, remedy: 'Write one that there is.' }];
  });
}
