import { leadsToSlaughter } from '../core/sortplan/held.ts';
import { dayNumber } from '../core/sortplan/days.ts';
import type { Plan, Way } from '../core/sortplan/plan.ts';
import { suggestion } from './nearest.ts';
import type { PlanProblem } from './plan-problems.ts';

type Path = (string | number)[];

/** Lots, exits and the ways between them: names that exist, no slaughter by doubt, no circles. */
export function placeProblems(plan: Plan, exits: readonly string[] | null): PlanProblem[] {
  return [
    ...lotProblems(plan, exits),
    ...wayProblems(plan, exits),
    ...overflowProblems(plan),
    ...splitProblems(plan),
  ];
}

/** The problem of a lot name that the plan does not have, or none. */
export function unknownLot(plan: Plan, name: string, path: Path): PlanProblem[] {
  const names = plan.lots.map((lot) => lot.name);
  if (names.includes(name)) return [];
  return [{ path, message: `no lot is called ${name}`, remedy: suggestion(name, names) }];
}

function unknownExit(exit: string, exits: readonly string[] | null, path: Path): PlanProblem[] {
  if (exits === null || exits.includes(exit)) return [];
  return [{ path, message: `the gate has no exit ${exit}`, remedy: suggestion(exit, exits) }];
}

function lotProblems(plan: Plan, exits: readonly string[] | null): PlanProblem[] {
  const problems: PlanProblem[] = [];
  for (const [index, lot] of plan.lots.entries()) {
    const at = (key: string, message: string, remedy: string): void => {
      problems.push({ path: ['lots', index, key], message, remedy });
    };
    problems.push(...unknownExit(lot.exit, exits, ['lots', index, 'exit']));
    const same = plan.lots.findIndex((one) => one.name.toLowerCase() === lot.name.toLowerCase());
    if (same < index) at('name', `two lots are called ${lot.name}`, 'Rename one of them.');
    if (lot.aside === true && lot.belowKg !== undefined)
      at(
        'belowKg',
        `${lot.name} is aside and so has no band of weight`,
        'Remove aside or belowKg.',
      );
    if (lot.whenFull !== undefined && lot.capacity === undefined)
      at('whenFull', `${lot.name} has no capacity and so is never full`, 'Add capacity.');
    if (lot.killOn !== undefined && lot.forSlaughter !== true)
      at('killOn', `${lot.name} is not for slaughter`, 'Add forSlaughter: true or remove killOn.');
    if (lot.killOn !== undefined && dayNumber(lot.killOn) === null)
      at('killOn', `${lot.killOn} is not in the calendar`, 'Write year-month-day.');
  }
  return problems;
}

function wayProblems(plan: Plan, exits: readonly string[] | null): PlanProblem[] {
  const check = (name: string, way: Way, path: Path, always: boolean): PlanProblem[] => {
    if (way === 'hold') return [];
    const key = 'exit' in way ? 'exit' : 'lot';
    const wrong =
      'exit' in way
        ? unknownExit(way.exit, exits, [...path, key])
        : unknownLot(plan, way.lot, [...path, key]);
    if (wrong.length > 0) return wrong;
    return slaughterProblems(plan, name, way, [...path, key], always);
  };
  const problems = check('not sure', plan.unsure, ['unsure'], false);
  if (plan.tags === undefined) return problems;
  return [
    ...problems,
    ...check('unread', plan.tags.unread, ['tags', 'unread'], false),
    ...check('in withdrawal', plan.tags.withdrawal, ['tags', 'withdrawal'], true),
  ];
}

/** A way for doubt must not lead to slaughter; the way of withdrawal must not whatever is allowed. */
function slaughterProblems(
  plan: Plan,
  name: string,
  way: Exclude<Way, 'hold'>,
  path: Path,
  always: boolean,
): PlanProblem[] {
  if (!always && plan.allowUnsureToSlaughter === true) return [];
  const exit = 'exit' in way ? way.exit : plan.lots.find((lot) => lot.name === way.lot)?.exit;
  if (exit === undefined || !leadsToSlaughter(plan, exit)) return [];
  const names = plan.lots.filter((lot) => lot.exit === exit && lot.forSlaughter === true);
  return [
    {
      path,
      message: `animals ${name} would go to ${names.map((lot) => lot.name).join(', ')} at exit ${exit}, for slaughter`,
      remedy: always
        ? 'Name a lot that is not for slaughter.'
        : 'Name another way, or write allowUnsureToSlaughter: true.',
    },
  ];
}

function overflowProblems(plan: Plan): PlanProblem[] {
  const problems: PlanProblem[] = [];
  for (const [index, lot] of plan.lots.entries()) {
    if (typeof lot.whenFull !== 'object') continue;
    const path = ['lots', index, 'whenFull', 'overflow'];
    const { overflow } = lot.whenFull;
    const unknown = unknownLot(plan, overflow, path);
    const way = { lot: overflow };
    problems.push(
      ...unknown,
      ...slaughterProblems(plan, `over from ${lot.name}`, way, path, false),
    );
    const circle = overflowFrom(plan, lot.name);
    if (circle.at(-1) === lot.name)
      problems.push({
        path,
        message: `overflow goes round in a circle: ${[lot.name, ...circle].join(', ')}`,
        remedy: 'Let one of them stop.',
      });
  }
  return problems;
}

/** The lots that a full lot passes on to, until none, or one that was there before. */
function overflowFrom(plan: Plan, name: string): string[] {
  const chain: string[] = [];
  let lot = plan.lots.find((one) => one.name === name);
  while (typeof lot?.whenFull === 'object') {
    const next = lot.whenFull.overflow;
    if (chain.includes(next)) break;
    chain.push(next);
    lot = plan.lots.find((one) => one.name === next);
  }
  return chain;
}

function splitProblems(plan: Plan): PlanProblem[] {
  const problems: PlanProblem[] = [];
  for (const [index, lot] of plan.lots.entries()) {
    for (const [place, name] of (lot.splitWith ?? []).entries()) {
      const path = ['lots', index, 'splitWith', place];
      problems.push(...unknownLot(plan, name, path));
      const other = plan.lots.find((one) => one.name === name);
      if (name === lot.name || lot.splitWith?.indexOf(name) !== place)
        problems.push({ path, message: `${name} stands twice in the split`, remedy: 'Remove it.' });
      else if (other?.splitWith !== undefined)
        problems.push({
          path,
          message: `${name} is split itself`,
          remedy: 'Name all lots of the split in one place.',
        });
      else if (other !== undefined && (other.forSlaughter === true) !== (lot.forSlaughter === true))
        problems.push({
          path,
          message: `of ${lot.name} and ${name} only one is for slaughter`,
          remedy: 'Split between lots of one kind.',
        });
    }
  }
  return problems;
}
