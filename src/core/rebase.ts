import type { State } from './step.ts';

/**
 * The same state told from a later origin of time: every absolute time in it, which is a number (or
 * numbers) in a field whose name ends in `At`, becomes `byMs` smaller. A trace that begins with it
 * counts from 0 again and goes on with the same outputs.
 * @param byMs whole ms, a multiple of the 20 ms tick, so that ticks stay where they were.
 */
export function rebase(state: State, byMs: number): State {
  return shifted(state, byMs) as State;
}

function shifted(value: unknown, byMs: number): unknown {
  if (Array.isArray(value)) return value.map((one) => shifted(one, byMs));
  if (value === null || typeof value !== 'object') return value;
  const entries = Object.entries(value).map(([key, one]: [string, unknown]) => [
    key,
    key.endsWith('At') ? earlier(one, byMs) : shifted(one, byMs),
  ]);
  return Object.fromEntries(entries) as unknown;
}

function earlier(time: unknown, byMs: number): unknown {
  if (Array.isArray(time)) return time.map((one) => earlier(one, byMs));
  return typeof time === 'number' ? time - byMs : time;
}
