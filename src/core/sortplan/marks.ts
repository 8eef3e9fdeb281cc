import type { Mark } from '../trace.ts';
import { ofThisMob, usableWeight, within } from './bands.ts';
import type { AnimalFacts, MarkCondition, MarkRule, Plan } from './plan.ts';

/** The quick marks that there are, with the values that each may take; `flag` is given or not. */
export const MARKS: Readonly<Record<string, readonly (string | number)[] | 'flag'>> = {
  condition: [1, 1.5, 2, 2.5, 3, 3.5, 4, 4.5, 5],
  sex: ['female', 'male', 'castrated'],
  rearing: ['single', 'twin'],
  keep: 'flag',
  lame: 'flag',
};

/** Most quick marks that a page or a box of buttons offers, and that an animal is given. */
export const MOST_MARKS = 3;

/** What is wrong with a mark, in words, or null; `colour` takes any word. */
export function markProblem(mark: Mark): string | null {
  if (mark.name === 'colour')
    return typeof mark.value === 'string' && mark.value !== '' ? null : 'colour needs a word';
  const values = Object.hasOwn(MARKS, mark.name) ? MARKS[mark.name] : undefined;
  if (values === undefined) return `no mark is called ${mark.name}`;
  if (values === 'flag')
    return typeof mark.value === 'boolean' ? null : `${mark.name} is either given or not`;
  const value = mark.value;
  return typeof value !== 'boolean' && values.includes(value)
    ? null
    : `${mark.name} is one of ${values.join(', ')}`;
}

/**
 * The animal's marks with one more: the same name replaces, false takes away, a fourth is refused.
 * @returns the new list, or words that say why not
 */
export function withMark(marks: readonly Mark[], mark: Mark): Mark[] | string {
  const others = marks.filter((one) => one.name !== mark.name);
  if (mark.value === false && others.length < marks.length) return others;
  const problem = markProblem(mark);
  if (problem !== null) return problem;
  if (mark.value === false) return others;
  if (others.length >= MOST_MARKS)
    return `${String(MOST_MARKS)} marks are given already: take one away`;
  return [...others, mark];
}

function meets(marks: readonly Mark[], condition: MarkCondition): boolean {
  const value = marks.findLast((mark) => mark.name === condition.mark)?.value;
  if (value === undefined || value === false) return condition.is === false;
  if (condition.is !== undefined) return value === condition.is;
  const { from, to } = condition;
  if (from === undefined && to === undefined) return true;
  return (
    typeof value === 'number' &&
    (from === undefined || value >= from) &&
    (to === undefined || value <= to)
  );
}

/** What the mark rules say: the first that is met, or that a weight is waited for. */
export type MarksSay = { rule: MarkRule; weighed: boolean } | 'wait' | null;

/** Applies the plan's mark rules in their order; one that names a weight waits for the weight. */
export function byMarks(plan: Plan, animal: AnimalFacts): MarksSay {
  const weight = usableWeight(animal);
  for (const rule of plan.marks?.rules ?? []) {
    if (!rule.when.every((condition) => meets(animal.marks, condition))) continue;
    if (rule.fromKg === undefined && rule.belowKg === undefined) return { rule, weighed: false };
    if (weight === null) {
      if (animal.unsure === null) return 'wait';
      continue;
    }
    if (!ofThisMob(plan, weight, animal.previousLot)) continue;
    const range = { from: rule.fromKg ?? null, below: rule.belowKg ?? null };
    if (within(plan, weight, range, rule.lot, animal.previousLot)) return { rule, weighed: true };
  }
  return null;
}
