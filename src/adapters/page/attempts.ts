/** Wrong PINs that cost nothing: wet gloves. */
const FREE = 3;
const LONGEST_MS = 60_000;
/** A device's wrong tries are forgotten after this, ms. */
const FORGET_MS = 3_600_000;
/** Devices remembered; the one that tried longest ago is forgotten first. */
const MOST = 2000;

/**
 * Slows down whoever guesses: after three wrong PINs each further try of the same device has to
 * wait 2, 4, 8 … 60 s. Other devices never wait for it, and nobody is ever locked out.
 */
export interface Attempts {
  /** ms until this device's next try counts; 0: now. Begins the try when 0. */
  begin(device: string, nowMs: number): number;
  wrong(device: string, nowMs: number): void;
  right(device: string): void;
}

interface Tries {
  wrong: number;
  nextMs: number;
  lastMs: number;
  /** One try of a device at a time, or a burst would get past the delay. */
  trying: boolean;
}

function delayAfter(wrong: number): number {
  let delay = 0;
  for (let n = FREE; n <= wrong && delay < LONGEST_MS; n++) delay = delay === 0 ? 2000 : delay * 2;
  return Math.min(delay, LONGEST_MS);
}

export function createAttempts(): Attempts {
  const known = new Map<string, Tries>();
  const take = (device: string, nowMs: number): Tries => {
    const had = known.get(device);
    known.delete(device);
    const fresh = had === undefined || nowMs - had.lastMs > FORGET_MS;
    const tries = fresh ? { wrong: 0, nextMs: 0, lastMs: nowMs, trying: false } : had;
    known.set(device, tries);
    for (const oldest of known.keys()) {
      if (known.size <= MOST) break;
      known.delete(oldest);
    }
    return tries;
  };
  return {
    begin(device, nowMs) {
      const tries = take(device, nowMs);
      if (tries.nextMs > nowMs) return tries.nextMs - nowMs;
      if (tries.trying) return 1000;
      tries.trying = true;
      return 0;
    },
    wrong(device, nowMs) {
      const tries = take(device, nowMs);
      tries.trying = false;
      tries.wrong++;
      tries.lastMs = nowMs;
      tries.nextMs = nowMs + delayAfter(tries.wrong);
    },
    right(device) {
      known.delete(device);
    },
  };
}
