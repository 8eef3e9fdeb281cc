/** What the daemon sees of a weigh head, whatever it is heard over. */
import type { ReadingInput } from '../../core/trace.ts';
import type { DecodedReading } from '../../config/frames/decode.ts';
import type { LineHealth } from '../line.ts';

/** What a weigh head's adapter is given to tell. */
export interface ScaleEvents {
  /** Monotonic whole ms. */
  now: () => number;
  /** All bytes as they came, for the trace; before the readings that they complete. */
  onBytes: (t: number, bytes: Uint8Array) => void;
  /** A reading; `t` is the arrival of its last byte. */
  onReading: (reading: ReadingInput) => void;
  /** The link came up or went down, with the reason and the remedy in words. */
  onLink: (up: boolean, reason: string) => void;
  /** Something that a person should know and that does not change the link. */
  onNote: (text: string) => void;
}

export interface ScaleHealth extends LineHealth {
  /** Whole frames. */
  frames: number;
  /** Stretches of bytes that were no whole frame. */
  noise: number;
  /** The head shows a net weight; null where it does not say. */
  net: boolean | null;
}

export interface Scale {
  close: () => Promise<void>;
  health: () => ScaleHealth;
}

/** A reading as the core takes it. */
export function toInput(t: number, { kg, motion, status }: DecodedReading): ReadingInput {
  const reading: ReadingInput = { t, kg };
  if (motion !== undefined) reading.motion = motion;
  if (status !== undefined) reading.status = status;
  return reading;
}
