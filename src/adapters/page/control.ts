import type { Control } from './messages.ts';

/** Manual control falls free when its holder's page has been gone this long, ms: phone asleep. */
const GONE_MS = 30_000;

/** Manual control: one device at a time, whoever takes it. */
export interface ManualControl {
  /** Gives control to `device` if nobody else has it; false if somebody has. */
  use(device: number, nowMs: number): boolean;
  /** Takes it from whoever has it. */
  take(device: number, nowMs: number): void;
  release(device: number): void;
  /** Who holds it, given the devices whose page is open now. */
  holder(openPages: ReadonlySet<number>, nowMs: number): Control;
}

export function createControl(): ManualControl {
  let device: number | null = null;
  let seenMs = 0;
  return {
    use(asked, nowMs) {
      if (device !== null && device !== asked) return false;
      device = asked;
      seenMs = nowMs;
      return true;
    },
    take(asked, nowMs) {
      device = asked;
      seenMs = nowMs;
    },
    release(asked) {
      if (device === asked) device = null;
    },
    holder(openPages, nowMs) {
      if (device === null) return null;
      if (openPages.has(device)) seenMs = nowMs;
      if (nowMs - seenMs > GONE_MS) device = null;
      return device === null ? null : { device };
    },
  };
}
