/** What still calls for a person. */
import type { FaultsResult } from '../faults/faults.ts';
import type { CycleState } from './state.ts';

/** Since when each calls; null where it does not, or somebody said that it was heard. */
export interface Calls {
  /** It is offered to carry on without tags. */
  offer: number | null;
  /** The animal on the crate waits for an answer. */
  animal: number | null;
  /** It is held too long. */
  held: number | null;
}

type Asks = Pick<CycleState, 'animal' | 'acknowledgedAt' | 'offerAt'>;

export function unanswered({ animal, acknowledgedAt, offerAt }: Asks, found: FaultsResult): Calls {
  const still = (since: number | null): number | null =>
    since !== null && acknowledgedAt !== null && acknowledgedAt >= since ? null : since;
  const calls: Calls = { offer: still(offerAt), animal: null, held: null };
  if (animal === null || animal.opening !== null) return calls;
  const held = found.active.find(({ fault }) => fault === 'held-long');
  return { ...calls, animal: still(animal.calledAt), held: still(held?.since ?? null) };
}
