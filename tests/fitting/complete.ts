/** A fitting in which every item was answered, as a test says and nobody has seen. */
import {
  NOTHING_DONE,
  type FittingState,
  type Marks,
  type Result,
} from '../../src/fitting/state.ts';
import { stepsOf, type Yard } from '../../src/fitting/steps.ts';

export function complete(yard: Yard, marks: Marks, but: string[] = []): FittingState {
  const by = { who: 'A. Fitter', atMs: 1_790_000_000_000, clockSet: true };
  const results: Record<string, Result> = {};
  for (const step of stepsOf(yard, false)) {
    for (const { id } of step.items) {
      const mark = step.mark === null ? null : marks[step.mark];
      if (!but.includes(id)) results[id] = { ok: true, value: true, mark, ...by };
    }
  }
  return { ...NOTHING_DONE, results, signed: { marks, open: [], ...by } };
}
