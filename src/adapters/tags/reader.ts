import type { ReaderProfile } from '../../config/frames/schema.ts';
import { createTagDecoder } from '../../config/frames/tag.ts';
import { openSerialLine } from '../serial-line.ts';
import type { LineHealth } from '../line.ts';

export interface ReaderOptions {
  /** The port, best by its lasting name under `/dev/serial/by-id`. */
  path: string;
  profile: ReaderProfile;
  /** Monotonic whole ms. */
  now: () => number;
  /** All bytes as they came, for the trace. */
  onBytes: (t: number, bytes: Uint8Array) => void;
  /** An animal's tag, 15 digits; `t` is the arrival of its last byte. `test`: code 999. */
  onTag: (t: number, tag: string, test: boolean) => void;
  /** The link came up or went down, with the reason and the remedy in words. */
  onLink: (up: boolean, reason: string) => void;
  /** Something that a person should know and that does not change the link. */
  onNote: (text: string) => void;
}

export interface ReaderHealth extends LineHealth {
  /** Whole frames. */
  frames: number;
  /** Stretches of bytes that were no whole frame. */
  noise: number;
  /** Frames of transponders that say that they are not an animal's: not passed on. */
  notAnimal: number;
  /** Frames with the test code 999. */
  test: number;
}

export interface Reader {
  close: () => Promise<void>;
  health: () => ReaderHealth;
}

const NO_ANIMALS = 'no animal has code 999. Use such tags for practice only.';

/**
 * The tag reader on a serial port, opened again for ever. A reader may be silent, so its link is
 * down only when the port or its name goes. A tag that stays in the field is passed on once in the
 * profile's `repeatMs`. Never throws.
 */
export function openReader(options: ReaderOptions): Reader {
  const { profile, path, now, onLink, onNote } = options;
  const decoder = createTagDecoder(profile);
  const isRepeat = repeats(profile.repeatMs);
  let notAnimal = 0;
  let test = 0;
  const line = openSerialLine({
    path,
    serial: profile.serial,
    begin: profile.begin,
    ask: undefined,
    silenceMs: null,
    now,
    onBytes(t, bytes) {
      options.onBytes(t, bytes);
      const before = decoder.frames;
      for (const decoded of decoder.push(bytes)) {
        if (decoded.test) test += 1;
        if (decoded.test && test === 1) onNote(`${decoded.tag} is a test tag: ${NO_ANIMALS}`);
        if (decoded.animal === false) notAnimal += 1;
        else if (!isRepeat(t, decoded.tag)) options.onTag(t, decoded.tag, decoded.test ?? false);
      }
      return decoder.frames - before;
    },
    onOpened: decoder.restart,
    onLink,
    onNote,
  });
  return {
    close: line.close,
    health: () => ({
      ...line.health(),
      frames: decoder.frames,
      noise: decoder.noise,
      notAnimal,
      test,
    }),
  };
}

/** Tags that were in the field within the last `forMs`; two animals' tags may alternate. */
function repeats(forMs: number): (t: number, tag: string) => boolean {
  const passedAt = new Map<string, number>();
  return (t, tag) => {
    for (const [other, at] of passedAt) if (t - at >= forMs) passedAt.delete(other);
    if (passedAt.has(tag)) return true;
    passedAt.set(tag, t);
    return false;
  };
}
