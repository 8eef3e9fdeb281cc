/** Cuts a stream of bytes into the bodies of frames. */

export interface FrameShape {
  /** Bytes that open a frame, or null. */
  start: Uint8Array | null;
  /** Byte strings of which any one closes a frame; empty where the length alone does. */
  ends: Uint8Array[];
  /** Bytes between start and end, where always the same. */
  length: number | null;
  /** Bytes of a check sum that follow the end. */
  afterEnd: number;
  /** The tail of a frame cannot be taken for a whole one. */
  keepFirst: boolean;
  /** The longest body; all that is longer is noise. */
  maxBytes: number;
}

/** Given the place of one body, says whether it was a whole frame of the profile. */
export type Take = (bytes: Buffer, from: number, to: number, frameFrom: number) => boolean;

export interface Framer {
  push: (bytes: Uint8Array) => void;
  /** Forgets what was begun, as when the port was opened anew. */
  restart: () => void;
  /** Stretches of bytes that were no whole frame. */
  readonly noise: number;
  /** Bytes kept for the frame under way: never more than one frame. */
  readonly held: number;
}

const NOTHING = Buffer.alloc(0);

/**
 * A framer whose memory is bounded by one frame. After opening, what comes before the first end is
 * dropped, since it may be the tail of a frame; a start, a fixed length or the profile's word that
 * tails differ from frames makes that needless.
 */
export function createFramer(shape: FrameShape, take: Take): Framer {
  let carry: Buffer = NOTHING;
  const scanner = shape.ends.length > 0 ? endScanner(shape, take) : lengthScanner(shape, take);
  return {
    push(bytes) {
      const chunk = Buffer.from(bytes.buffer, bytes.byteOffset, bytes.length);
      const view = carry.length === 0 ? chunk : Buffer.concat([carry, chunk]);
      const rest = scanner.scan(view);
      // A copy, or a few bytes would keep the port's whole read buffer alive.
      carry = rest === view.length ? NOTHING : Buffer.from(view.subarray(rest));
    },
    restart() {
      carry = NOTHING;
      scanner.restart();
    },
    get noise() {
      return scanner.noise();
    },
    get held() {
      return carry.length;
    },
  };
}

interface Scanner {
  /** Takes all whole frames; returns where the unfinished rest begins. */
  scan(view: Buffer): number;
  restart(): void;
  noise(): number;
}

function endScanner(shape: FrameShape, take: Take): Scanner {
  const { start, length, afterEnd, maxBytes } = shape;
  const findEnd = endFinder(shape.ends);
  const startLength = start?.length ?? 0;
  const needsNoEnd = start !== null || length !== null || shape.keepFirst;
  let inStep = needsNoEnd;
  let noise = 0;
  /** False where what stood there was no frame. */
  const frame = (view: Buffer, from: number, to: number): boolean => {
    const whole = inStep;
    inStep = true;
    if (to === from || !whole) return false;
    const opened = start === null ? from : lastStart(view, start, from, to);
    if (opened > from) noise += 1;
    const body = opened + startLength;
    if (opened === to && start !== null) return false;
    const fits = to - body <= maxBytes && (length === null || to - body === length);
    const taken = fits && take(view, body, to, opened);
    if (!taken) noise += 1;
    return taken;
  };
  /** Too long without an end: what is kept must still be bounded. */
  const overflow = (view: Buffer, from: number): number => {
    noise += 1;
    inStep = start !== null;
    const opened = start === null ? -1 : lastStart(view, start, from, view.length);
    if (opened > from && view.length - opened <= maxBytes) return opened;
    // The last bytes may be the first of an end or a start.
    return view.length - Math.min(view.length - from, MOST_MARK_BYTES - 1);
  };
  return {
    scan(view) {
      let at = 0;
      for (;;) {
        const end = findEnd(view, at);
        if (end === null) break;
        if (end.after + afterEnd > view.length) break;
        // After a frame that was cut, what would be its check sum may be the next frame's beginning.
        at = frame(view, at, end.at) ? end.after + afterEnd : end.after;
      }
      const most = startLength + maxBytes + MOST_MARK_BYTES + afterEnd;
      return view.length - at > most ? overflow(view, at) : at;
    },
    restart() {
      inStep = needsNoEnd;
    },
    noise: () => noise,
  };
}

/** Longest start or end; the schema keeps to it. */
export const MOST_MARK_BYTES = 8;

/** Where the last start in the stretch stands; its end where there is none. */
function lastStart(view: Buffer, start: Uint8Array, from: number, to: number): number {
  for (let at = to - start.length; at >= from; at--) if (standsAt(view, start, at)) return at;
  return to;
}

interface End {
  at: number;
  after: number;
}

function endFinder(ends: Uint8Array[]): (view: Buffer, from: number) => End | null {
  const only = ends[0];
  if (only !== undefined && ends.length === 1) {
    const what = only.length === 1 ? (only[0] ?? 0) : Buffer.from(only);
    return (view, from) => {
      const at = view.indexOf(what, from);
      return at < 0 ? null : { at, after: at + only.length };
    };
  }
  return (view, from) => {
    for (let at = from; at < view.length; at++) {
      const end = ends.find((candidate) => standsAt(view, candidate, at));
      if (end) return { at, after: at + end.length };
    }
    return null;
  };
}

function standsAt(view: Buffer, wanted: Uint8Array, at: number): boolean {
  if (at + wanted.length > view.length) return false;
  for (let i = 0; i < wanted.length; i++) if (view[at + i] !== wanted[i]) return false;
  return true;
}

/** No end: every place is tried until one holds a frame that its check sum proves whole. */
function lengthScanner(shape: FrameShape, take: Take): Scanner {
  const { start, length } = shape;
  const startLength = start?.length ?? 0;
  const total = startLength + (length ?? 0);
  let noise = 0;
  let lost = false;
  const skip = (): void => {
    if (!lost) noise += 1;
    lost = true;
  };
  return {
    scan(view) {
      let at = 0;
      while (view.length - at >= Math.max(total, 1)) {
        const opened = start === null ? at : view.indexOf(start, at);
        if (opened !== at) skip();
        if (opened < 0) return Math.max(at, view.length - startLength + 1);
        if (view.length - opened < total) return opened;
        if (take(view, opened + startLength, opened + total, opened)) {
          lost = false;
          at = opened + total;
        } else {
          skip();
          at = opened + 1;
        }
      }
      return at;
    },
    restart() {
      lost = false;
    },
    noise: () => noise,
  };
}
