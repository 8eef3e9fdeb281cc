import type { Control, Layout, LiveNow, Snapshot } from './messages.ts';

const MOST_BYTES = 2048;

/** What the page thread knows of the race: the last layout and snapshot, and how old it is. */
export interface Race {
  layout: Layout | null;
  snapshot: Snapshot | null;
  takenMs: number;
}

/** Age of the last snapshot, ms, or null before the first one. */
export function ageOf(race: Race, nowMs: number): number | null {
  return race.snapshot === null ? null : Math.max(0, Math.round(nowMs - race.takenMs));
}

/**
 * The snapshot as pages get it, 2 KB at most: what is nice to have goes first (last animals, then
 * faults beyond the first three, then long words), what is needed to work never.
 */
export function liveNow(race: Race, control: Control, nowMs: number): LiveNow | null {
  if (race.snapshot === null) return null;
  const now: LiveNow = {
    ...race.snapshot,
    control,
    ageMs: ageOf(race, nowMs) ?? 0,
    sentMs: Math.round(nowMs),
  };
  const tooLong = (): boolean => Buffer.byteLength(JSON.stringify(now)) > MOST_BYTES;
  while (now.last.length > 0 && tooLong()) now.last = now.last.slice(0, -1);
  if (tooLong()) now.faults = now.faults.slice(0, 3);
  for (const length of [160, 80, 40]) {
    if (!tooLong()) break;
    cutWords(now, length);
  }
  return now;
}

function cutWords(now: LiveNow, length: number): void {
  const cut = (words: string): string =>
    words.length > length ? `${words.slice(0, length - 1)}…` : words;
  if (now.why !== null) now.why = cut(now.why);
  if (now.refused !== null) now.refused = cut(now.refused);
  if (now.decision !== null) now.decision = { ...now.decision, reason: cut(now.decision.reason) };
  now.faults = now.faults.map((fault) => ({
    ...fault,
    detail: fault.detail === null ? null : cut(fault.detail),
  }));
}
