import { existsSync } from 'node:fs';
import koffi from 'koffi';

/** Two clocks: a monotonic one for every interval, the wall clock for records only. */
export interface Clock {
  /** Whole ms since this clock was started; never goes back, whatever is done to the wall clock. */
  now(): number;
  /** UTC ms by the system clock. */
  wallNow(): number;
  /** UTC ms of the monotonic time `t`, by what the system clock says now. */
  wallAt(t: number): number;
  /** The system clock can be believed: see `judgeClock`. */
  isSet(): boolean;
  /**
   * A person says what time it is: from now on the wall clock is taken to be `deltaMs` ahead of the
   * system's, until a time service keeps that one.
   */
  vouch(deltaMs: number): void;
}

/** What is known of the system clock when it is judged. */
export interface ClockSigns {
  wallMs: number;
  /** The kernel says that a time service keeps the clock. */
  synchronised: boolean;
  /** A battery-backed clock is fitted, which set the system clock at boot. */
  hardwareClock: boolean;
  /** A person (or the site's settings) vouches for the clock. */
  vouched: boolean;
}

/** No Fank could have run before this; an earlier clock was never set. */
const EARLIEST = Date.UTC(2026, 0, 1);
/** adjtimex(2) answers this while no time service keeps the clock. */
const TIME_ERROR = 5;

/**
 * A board without a battery-backed clock wakes at the hour of its last shutdown, which looks like
 * a good date and is not. So a plausible year alone is not enough: something must vouch for it.
 */
export function judgeClock(signs: ClockSigns): boolean {
  if (signs.wallMs < EARLIEST) return false;
  return signs.synchronised || signs.hardwareClock || signs.vouched;
}

function kernelSays(): () => boolean {
  try {
    const adjtimex = koffi.load(null).func('int adjtimex(void *buf)') as (buf: Buffer) => number;
    const buf = Buffer.alloc(256); // struct timex is 208 bytes; all zero asks and changes nothing
    return () => {
      const answer = adjtimex(buf.fill(0));
      return answer >= 0 && answer !== TIME_ERROR;
    };
  } catch {
    return () => false;
  }
}

/**
 * Starts the clock at 0. `vouched`: rows count as written under a set clock although neither a
 * time service nor a battery-backed clock is there (demonstrations; a person who set the time).
 */
export function startClock(options: { vouched?: boolean } = {}): Clock {
  const origin = process.hrtime.bigint();
  const now = (): number => Number((process.hrtime.bigint() - origin) / 1_000_000n);
  const synchronised = kernelSays();
  const hardwareClock = existsSync('/dev/rtc') || existsSync('/dev/rtc0');
  let vouched = options.vouched ?? false;
  let deltaMs = 0;
  const wallNow = (): number => Date.now() + (deltaMs !== 0 && !synchronised() ? deltaMs : 0);
  return {
    now,
    wallNow,
    wallAt: (t) => wallNow() - now() + t,
    isSet: () =>
      judgeClock({ wallMs: wallNow(), synchronised: synchronised(), hardwareClock, vouched }),
    vouch: (ms) => {
      deltaMs += ms;
      vouched = true;
    },
  };
}

/** A clock that stands where the test puts it. */
export interface FakeClock extends Clock {
  advance(ms: number): void;
  /** Sets the wall clock, as a time service or a person would. */
  setWall(wallMs: number, set: boolean): void;
}

export function fakeClock(wallMs: number, set = true): FakeClock {
  let t = 0;
  let offset = wallMs;
  let isSet = set;
  return {
    now: () => t,
    wallNow: () => offset + t,
    wallAt: (at) => offset + at,
    isSet: () => isSet,
    vouch: (ms) => {
      offset += ms;
      isSet = true;
    },
    advance: (ms) => {
      t += ms;
    },
    setWall: (ms, nowSet) => {
      offset = ms - t;
      isSet = nowSet;
    },
  };
}
