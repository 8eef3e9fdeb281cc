import type { Plan } from './plan.ts';

/** Animals whose tag was not read, one after the other, and whether the offer was made. */
export interface UnreadRun {
  inRow: number;
  offered: boolean;
}

/** So many in a row offer to carry on without tags, once a session. */
export const UNREAD_IN_ROW = 3;

export const noUnread: UnreadRun = { inRow: 0, offered: false };

/**
 * The run after one more animal has passed.
 * @param tag what was read of this animal, or null
 * @param tagsOff no reader is there, or the operator carries on without tags already
 * @returns the run, and whether to offer `carry on without tags` now
 */
export function afterAnimal(
  plan: Plan,
  run: UnreadRun,
  tag: string | null,
  tagsOff: boolean,
): { run: UnreadRun; offer: boolean } {
  if (plan.tags === undefined || tagsOff || tag !== null)
    return { run: { ...run, inRow: 0 }, offer: false };
  const inRow = run.inRow + 1;
  const offer = inRow >= UNREAD_IN_ROW && !run.offered;
  return { run: { inRow, offered: run.offered || offer }, offer };
}
