import { hundredths, kgWords, weightLots } from '../core/sortplan/words.ts';
import type { Lot, Plan } from '../core/sortplan/plan.ts';
import { placeProblems } from './plan-places.ts';
import { ruleProblems } from './plan-rules.ts';

/** Something that is wrong with a plan as a whole, at a path into it. */
export interface PlanProblem {
  path: (string | number)[];
  message: string;
  remedy: string;
}

/**
 * All that is wrong with a plan whose grammar is right; empty for a plan that may be used. For such a
 * plan every weight has exactly one answer, and no way for doubt leads to slaughter unless it says so.
 * @param exits names of the gate's exits, or null where no gate is known: they are not checked then
 */
export function planProblems(plan: Plan, exits: readonly string[] | null): PlanProblem[] {
  const work = plan.work ?? 'weigh-and-sort';
  const problems = [...mobProblems(plan), ...placeProblems(plan, exits), ...ruleProblems(plan)];
  if (work === 'weigh-and-sort') problems.push(...bandProblems(plan), ...leewayProblems(plan));
  if (work === 'sort-only') problems.push(...sortOnlyProblems(plan));
  if (work === 'weigh-and-sort' || work === 'weigh-only') problems.push(...decideProblems(plan));
  if ((work === 'weigh-and-sort' || work === 'sort-only') && plan.lots.length < 2)
    problems.push({
      path: ['lots'],
      message: 'a plan that sorts needs at least two lots',
      remedy: 'Add a lot, or write work: weigh-only.',
    });
  return problems;
}

function mobProblems({ animals }: Plan): PlanProblem[] {
  if (animals.fromKg < animals.toKg) return [];
  return [
    {
      path: ['animals', 'toKg'],
      message: `no weight is both from ${kgWords(animals.fromKg)} and to ${kgWords(animals.toKg)} kg`,
      remedy: 'Make toKg the heavier one.',
    },
  ];
}

/** Gaps and overlaps between the bands of weight. */
function bandProblems(plan: Plan): PlanProblem[] {
  const lots = weightLots(plan);
  const problems: PlanProblem[] = [];
  const at = (lot: Lot, message: string, remedy: string): void => {
    problems.push({ path: ['lots', plan.lots.indexOf(lot), 'belowKg'], message, remedy });
  };
  if (lots.length === 0)
    problems.push({
      path: ['lots'],
      message: 'gap: no lot takes animals by weight',
      remedy: 'Take aside off one of them.',
    });
  for (const [index, lot] of lots.entries()) {
    const next = lots[index + 1];
    const before = lots[index - 1];
    if (next === undefined) {
      if (lot.belowKg !== undefined)
        at(
          lot,
          `gap: weights from ${kgWords(lot.belowKg)} kg have no lot`,
          `Take belowKg off ${lot.name}, the last lot, or add a lot for them.`,
        );
    } else if (lot.belowKg === undefined) {
      at(
        lot,
        `overlap: ${lot.name} has no belowKg and so takes what ${next.name} should`,
        `Give ${lot.name} a belowKg, put it last, or write aside: true.`,
      );
    } else {
      const cut = kgWords(lot.belowKg);
      if (before?.belowKg !== undefined && hundredths(lot.belowKg) <= hundredths(before.belowKg))
        at(
          lot,
          `overlap: all below ${cut} kg are in ${before.name} already, below ${kgWords(before.belowKg)}`,
          'Order the lots from light to heavy.',
        );
      if (lot.belowKg <= plan.animals.fromKg || lot.belowKg >= plan.animals.toKg)
        at(
          lot,
          `the cut at ${cut} kg is not within the mob, ${kgWords(plan.animals.fromKg)} to ${kgWords(plan.animals.toKg)} kg`,
          'Move the cut, or widen animals.',
        );
    }
  }
  return problems;
}

/** A band must be wider than the leeway, or an animal could never be moved into it. */
function leewayProblems(plan: Plan): PlanProblem[] {
  const { hysteresisKg } = plan.decide;
  const lots = weightLots(plan);
  const narrow = lots.findIndex((lot, index) => {
    const from = lots[index - 1]?.belowKg ?? plan.animals.fromKg;
    const width = (lot.belowKg ?? plan.animals.toKg) - from;
    return width > 0 && hundredths(width) <= hundredths(hysteresisKg);
  });
  const rules = plan.marks?.rules ?? [];
  const rule = rules.findIndex(({ fromKg, belowKg }) => {
    const width = (belowKg ?? plan.animals.toKg) - (fromKg ?? plan.animals.fromKg);
    return width > 0 && hundredths(width) <= hundredths(hysteresisKg);
  });
  if (narrow === -1 && rule === -1) return [];
  const band = narrow === -1 ? `mark rule ${String(rule + 1)}` : (lots[narrow]?.name ?? '');
  return [
    {
      path: ['decide', 'hysteresisKg'],
      message: `the leeway of ${kgWords(hysteresisKg)} kg is as wide as the band of ${band} or wider`,
      remedy: 'Make the leeway smaller or the band wider.',
    },
  ];
}

function decideProblems({ decide }: Plan): PlanProblem[] {
  if (decide.settle === undefined && decide.confidence === undefined)
    return [
      {
        path: ['decide'],
        message: 'neither settle nor confidence is given, so nothing is ever decided',
        remedy: 'Add confidence: 0.995, or settle: { withinKg: 0.5, forMs: 1000 }, or both.',
      },
    ];
  if (decide.settle !== undefined && decide.settle.forMs >= decide.callAfterMs)
    return [
      {
        path: ['decide', 'callAfterMs'],
        message: `the call after ${String(decide.callAfterMs)} ms comes before a weight can settle for ${String(decide.settle.forMs)} ms`,
        remedy: 'Make callAfterMs longer than settle.forMs.',
      },
    ];
  return [];
}

/** Sorting without a weight has one lot for all that no other rule places. */
function sortOnlyProblems(plan: Plan): PlanProblem[] {
  const problems: PlanProblem[] = [];
  for (const [index, lot] of plan.lots.entries())
    if (lot.belowKg !== undefined)
      problems.push({
        path: ['lots', index, 'belowKg'],
        message: 'sort-only knows no weight, so belowKg means nothing',
        remedy: 'Remove it, or write work: weigh-and-sort.',
      });
  if (weightLots(plan).length !== 1)
    problems.push({
      path: ['lots'],
      message: 'sort-only needs exactly one lot without aside: it takes all that no rule names',
      remedy: 'Write aside: true on every other lot.',
    });
  if (plan.gain !== undefined)
    problems.push({
      path: ['gain'],
      message: 'sort-only knows no weight, so it knows no gain',
      remedy: 'Remove gain, or write work: weigh-and-sort.',
    });
  for (const [index, rule] of (plan.marks?.rules ?? []).entries())
    if (rule.fromKg !== undefined || rule.belowKg !== undefined)
      problems.push({
        path: ['marks', 'rules', index],
        message: 'sort-only knows no weight, so a mark rule cannot name one',
        remedy: 'Remove fromKg and belowKg, or write work: weigh-and-sort.',
      });
  return problems;
}
