import { describe, expect, test } from 'vitest';
import {
  GONE_MS,
  hear,
  LAG_MS,
  LIVE_MS,
  NOTHING_HEARD,
  standing,
  type Heard,
} from '../../src/web/freshness.ts';
import type { LiveNow } from '../../src/adapters/page/messages.ts';
import { snapshot } from '../adapters/page/sample.ts';

/** The phone's clock is ahead of the daemon's by this much, ms. */
const AHEAD = 5_000_000;

function word(sentMs: number, ageMs = 0): LiveNow {
  return { ...snapshot(), control: null, ageMs, sentMs };
}

/** Ten words a second, each `lateMs` on its way, up to `sentMs`. */
function listen(heard: Heard, fromMs: number, untilMs: number, lateMs: number): Heard {
  let after = heard;
  for (let sentMs = fromMs; sentMs <= untilMs; sentMs += 100) {
    after = hear(after, word(sentMs), sentMs + AHEAD + lateMs);
  }
  return after;
}

describe('standing', () => {
  test('nothing heard yet: looking', () => {
    expect(standing(NOTHING_HEARD, 0)).toBe('connecting');
  });

  test('live while words come, silent when only signs of life do, gone when nothing does', () => {
    let heard = listen(NOTHING_HEARD, 0, 1000, 20);
    const lastMs = 1000 + AHEAD + 20;
    expect(standing(heard, lastMs + LIVE_MS)).toBe('live');
    heard = hear(heard, { sentMs: 1900, ageMs: 900 }, 1900 + AHEAD + 20);
    expect(standing(heard, lastMs + LIVE_MS + 1)).toBe('silent');
    expect(standing(heard, 1900 + AHEAD + 20 + GONE_MS + 1)).toBe('gone');
  });

  test('the last snapshot of a silent daemon does not become live by being sent again', () => {
    const heard = hear(NOTHING_HEARD, word(60_000, 45_000), 60_000 + AHEAD);
    expect(standing(heard, 60_000 + AHEAD)).toBe('silent');
  });

  test('words that pile up in a choked line are late, however fast they come in the end', () => {
    const heard = listen(NOTHING_HEARD, 0, 1000, 20);
    const late = hear(heard, word(1100), 1100 + AHEAD + 20 + LAG_MS + 1);
    expect(standing(late, 1100 + AHEAD + 20 + LAG_MS + 1)).toBe('late');
    const caughtUp = listen(late, 1200, 4000, 20);
    expect(standing(caughtUp, 4000 + AHEAD + 20)).toBe('live');
  });

  test('a daemon that was started again has a clock of its own', () => {
    const heard = listen(NOTHING_HEARD, 500_000, 501_000, 20);
    const anew = hear(heard, word(300), 501_000 + AHEAD + 3000);
    expect(standing(anew, 501_000 + AHEAD + 3000)).toBe('live');
  });

  test('clocks that drift apart by 100 ppm over a day stay live', () => {
    let heard = NOTHING_HEARD;
    for (let sentMs = 0; sentMs <= 86_400_000; sentMs += 10_000) {
      const atMs = sentMs * 1.0001 + AHEAD;
      heard = hear(heard, word(sentMs), atMs);
      expect(standing(heard, atMs)).toBe('live');
    }
  });
});
