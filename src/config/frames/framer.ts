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

/**
 * A framer whose memory is bounded by one frame. After opening, what comes before the first end is
 * dropped, since it may be the tail of a frame; a start, a fixed length or the profile's word that
 * tails differ from frames makes that needless.
 */
export function createFramer(shape: FrameShape, take: Take): Framer {
  const scanner = shape.ends.length > 0 ? endScanner(shape, take) : lengthScanner(shape, take);
  // One buffer for ever, for what is kept and the few bytes that a port gives at a time; and a copy
  // is kept, since a few bytes would hold the port's whole read buffer.
  const own = Buffer.alloc(OWN_BYTES);
  let held = 0;
  const scan = (view: Buffer, size: number): void => {
    const rest = scanner.scan(view, size);
    view.copy(own, 0, rest, size);
    held = size - rest;
  };
  return {
    push(bytes) {
      const size = held + bytes.length;
      if (size <= OWN_BYTES) {
        own.set(bytes, held);
        scan(own, size);
      } else scan(Buffer.concat([own.subarray(0, held), bytes]), size);
    },
    restart() {
      held = 0;
      scanner.restart();
    },
    get noise() {
      return scanner.noise();
    },
    get held() {
      return held;
    },
  };
}

/** More than the longest frame with its marks and check sum, and as much again. */
const OWN_BYTES = 1024;

interface Scanner {
  /** Takes all whole frames of the first `size` bytes; returns where the unfinished rest begins. */
  scan(view: Buffer, size: number): number;
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
  // The check sum of a frame that was not taken is still there, before the next one.
  let sumLeft = false;
  /** False where what stood there was no frame. */
  const frame = (view: Buffer, from: number, to: number): boolean => {
    const whole = inStep;
    inStep = true;
    if (to === from || !whole) return false;
    const opened = start === null ? from : lastStart(view, start, from, to);
    if (opened > from) noise += 1;
    const body = opened + startLength;
    if (opened === to && start !== null) return false;
    const reads = (at: number): boolean =>
      to - at <= maxBytes &&
      (length === null || to - at === length) &&
      take(view, at, to, at - startLength);
    const behind = sumLeft && start === null && afterEnd > 0 && to - body > afterEnd;
    const taken = reads(body) || (behind && reads(body + afterEnd));
    if (!taken) noise += 1;
    return taken;
  };
  /** Too long without an end: what is kept must still be bounded. */
  const overflow = (view: Buffer, from: number, size: number): number => {
    noise += 1;
    inStep = start !== null;
    const opened = start === null ? -1 : lastStart(view, start, from, size);
    if (opened > from && size - opened <= maxBytes) return opened;
    // The last bytes may be the first of an end or a start.
    return size - Math.min(size - from, MOST_MARK_BYTES - 1);
  };
  return {
    scan(view, size) {
      let at = 0;
      for (;;) {
        const end = findEnd.at(view, at, size);
        if (end < 0) break;
        const after = end + findEnd.length(view, end);
        if (after + afterEnd > size) break;
        // After a frame that was cut, what would be its check sum may be the next frame's beginning.
        sumLeft = !frame(view, at, end);
        at = sumLeft ? after : after + afterEnd;
      }
      const most = startLength + maxBytes + MOST_MARK_BYTES + afterEnd;
      return size - at > most ? overflow(view, at, size) : at;
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

interface EndFinder {
  /** Where the next whole end stands, or -1. */
  at(view: Buffer, from: number, size: number): number;
  /** How long the end is that stands there. */
  length(view: Buffer, at: number): number;
}

function endFinder(ends: Uint8Array[]): EndFinder {
  const opens = new Uint8Array(256);
  for (const end of ends) opens[end[0] ?? 0] = 1;
  const longest = Math.max(...ends.map((end) => end.length));
  const at = (view: Buffer, from: number, size: number): number => {
    for (let i = from; i < size; i++)
      if (opens[view[i] ?? 0] === 1 && (longest === 1 || endAt(view, ends, i, size) > 0)) return i;
    return -1;
  };
  const length = (view: Buffer, i: number): number =>
    longest === 1 ? 1 : endAt(view, ends, i, view.length);
  return { at, length };
}

function endAt(view: Buffer, ends: Uint8Array[], at: number, size: number): number {
  for (const end of ends) if (at + end.length <= size && standsAt(view, end, at)) return end.length;
  return 0;
}

function standsAt(view: Buffer, wanted: Uint8Array, at: number): boolean {
  if (at + wanted.length > view.length) return false;
  for (let i = 0; i < wanted.length; i++) if (view[at + i] !== wanted[i]) return false;
  return true;
}

/** Where the next start stands; where the rest of one might begin, if there is none. */
function nextStart(view: Buffer, start: Uint8Array, from: number, size: number): number {
  for (let at = from; at + start.length <= size; at++) if (standsAt(view, start, at)) return at;
  return Math.max(from, size - start.length + 1);
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
    scan(view, size) {
      let at = 0;
      while (size - at >= Math.max(total, 1)) {
        const opened = start === null ? at : nextStart(view, start, at, size);
        if (opened !== at) skip();
        if (size - opened < total) return opened;
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
