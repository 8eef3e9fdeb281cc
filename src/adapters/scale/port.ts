import type { ReadingInput } from '../../core/trace.ts';
import { createDecoder } from '../../config/frames/decode.ts';
import type { DecodedReading } from '../../config/frames/decode.ts';
import type { ScaleProfile } from '../../config/frames/schema.ts';
import { openSerialLine } from '../serial-line.ts';
import type { SerialLineHealth } from '../serial-line.ts';

export interface ScaleOptions {
  /** The port, best by its lasting name under `/dev/serial/by-id`. */
  path: string;
  profile: ScaleProfile;
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

export interface ScaleHealth extends SerialLineHealth {
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

/**
 * The weigh head on a serial port: opened again for ever, asked where the profile says so, down
 * when no whole frame came for the profile's silence. Never throws.
 */
export function openScale(options: ScaleOptions): Scale {
  const { profile, path, now, onLink, onNote } = options;
  const decoder = createDecoder(profile);
  let net: boolean | null = null;
  const line = openSerialLine({
    path,
    serial: profile.serial,
    begin: profile.begin,
    ask: profile.ask,
    silenceMs: profile.silenceMs,
    now,
    onBytes(t, bytes) {
      options.onBytes(t, bytes);
      const before = decoder.frames;
      for (const decoded of decoder.push(bytes)) {
        if (decoded.net !== undefined) net = decoded.net;
        options.onReading(toInput(t, decoded));
      }
      return decoder.frames - before;
    },
    onOpened: decoder.restart,
    onLink,
    onNote,
  });
  return {
    close: line.close,
    health: () => ({ ...line.health(), frames: decoder.frames, noise: decoder.noise, net }),
  };
}

function toInput(t: number, { kg, motion, status }: DecodedReading): ReadingInput {
  const reading: ReadingInput = { t, kg };
  if (motion !== undefined) reading.motion = motion;
  if (status !== undefined) reading.status = status;
  return reading;
}
