/** Whether what the page shows is live. Pure: times are arguments, monotonic ms of this device. */
import type { LiveBeat, LiveNow } from '../adapters/page/messages.ts';

/** A snapshot older than this is shown as dashes, ms. */
export const LIVE_MS = 1000;
/** No word at all for this long: the daemon or the way to it is gone, ms. */
export const GONE_MS = 1600;
/** Words that come this much later than the quickest ones lag, ms. */
export const LAG_MS = 1000;
/** Clocks of two devices drift apart by no more than this share. */
const DRIFT = 0.0002;

export type Standing = 'connecting' | 'live' | 'late' | 'silent' | 'gone';

/** What has been heard on the live stream. */
export interface Heard {
  now: LiveNow | null;
  /** When `now` arrived. */
  nowMs: number;
  /** When anything arrived last; null: nothing yet. */
  wordMs: number | null;
  /** How much later than the quickest word the last one came. */
  lagMs: number;
  /** Smallest arrival minus sending time so far: the two clocks' difference. */
  baseMs: number | null;
  sentMs: number;
}

export const NOTHING_HEARD: Heard = {
  now: null,
  nowMs: 0,
  wordMs: null,
  lagMs: 0,
  baseMs: null,
  sentMs: 0,
};

/** Takes in a word: a snapshot or a sign of life. */
export function hear(before: Heard, word: LiveNow | LiveBeat, atMs: number): Heard {
  const difference = atMs - word.sentMs;
  const restarted = word.sentMs < before.sentMs;
  const sinceMs = before.wordMs === null ? 0 : atMs - before.wordMs;
  const base =
    before.baseMs === null || restarted
      ? difference
      : Math.min(difference, before.baseMs + sinceMs * DRIFT);
  const heard = { ...before, wordMs: atMs, baseMs: base, lagMs: difference - base };
  heard.sentMs = word.sentMs;
  if ('seq' in word) return { ...heard, now: word, nowMs: atMs };
  return heard;
}

/** Age of the snapshot shown, ms; null when there is none. */
export function ageMs(heard: Heard, atMs: number): number | null {
  if (heard.now === null) return null;
  return heard.now.ageMs + heard.lagMs + (atMs - heard.nowMs);
}

/** How what is shown stands to what is. Only `live` may look live. */
export function standing(heard: Heard, atMs: number): Standing {
  if (heard.wordMs === null) return 'connecting';
  if (atMs - heard.wordMs > GONE_MS) return 'gone';
  if (heard.lagMs > LAG_MS) return 'late';
  const age = ageMs(heard, atMs);
  if (age === null) return 'silent';
  return age > LIVE_MS ? 'silent' : 'live';
}
