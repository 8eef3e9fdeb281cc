/**
 * Duty of an actuator, IEC 60034-1 S3: on-time within any period up to a limit.
 *
 * A leaky bucket: it holds a quarter of the limit and leaks three quarters of the limit in a period,
 * so that no window of one period can hold more on-time than the limit. Full after a restart.
 */
import type { LeafConfig } from './gate.ts';
import type { LeafState } from './state.ts';

const BUCKET_SHARE = 0.25;

export function spentDutyMs(leaf: LeafConfig): number {
  return leaf.duty === null ? 0 : leaf.duty.onMs * BUCKET_SHARE;
}

/** On-time not yet rested off at time t, ms. */
export function dutyUsedMs(leaf: LeafConfig, state: LeafState, t: number): number {
  if (leaf.duty === null || state.dutyAt === null) return state.dutyUsedMs;
  const leak = (leaf.duty.onMs * (1 - BUCKET_SHARE)) / leaf.duty.periodMs;
  return Math.max(0, state.dutyUsedMs - (t - state.dutyAt) * leak);
}

/** True when a whole stroke fits into what the duty leaves. */
export function dutyAllows(leaf: LeafConfig, state: LeafState, t: number): boolean {
  if (leaf.duty === null) return true;
  return dutyUsedMs(leaf, state, t) + leaf.maxOnMs <= spentDutyMs(leaf);
}
