import { PassThrough } from 'node:stream';
import type { Layout, LiveBeat, LiveNow } from './messages.ts';

/** Streams of one address, and of all: enough for a pen, too few to fill memory. */
const MOST_OF_ONE = 8;
const MOST = 48;
/** Bytes that may wait for one page; more and its frames are dropped. */
const WAITING_BYTES = 4096;
/** A page that took nothing for this long is let go; it comes back by itself. */
const STUCK_MS = 10_000;

interface Stream {
  out: PassThrough;
  address: string;
  device: number | null;
  /** Layout that this page has; others are sent before the snapshot that needs them. */
  layout: number | null;
  /** Since when it has been full, ms, or null. */
  fullMs: number | null;
}

/** All open pages. A slow one misses frames; it never holds back the others or grows. */
export interface LiveStreams {
  /** A new page's stream, which begins with `first`; null when there are too many. */
  open(address: string, device: number | null, first: First | null): PassThrough | null;
  send(now: LiveNow, layout: Layout, nowMs: number): void;
  beat(beat: LiveBeat, nowMs: number): void;
  /** Signed-in devices with an open page. */
  devices(): Set<number>;
  /** Ends the streams of a device; its pages ask again, and are looked at anew. */
  leave(device: number): void;
  readonly counts: { open: number; sent: number; dropped: number };
  close(): void;
}

/** What a page is shown as soon as it opens. */
export interface First {
  now: LiveNow;
  layout: Layout;
}

function frame(event: string, data: unknown): string {
  return `event: ${event}\ndata: ${JSON.stringify(data)}\n\n`;
}

export function createLive(): LiveStreams {
  const streams = new Set<Stream>();
  const counts = { open: 0, sent: 0, dropped: 0 };

  const drop = (stream: Stream): void => {
    if (streams.delete(stream)) counts.open--;
    stream.out.destroy();
  };
  /** Room for a frame? Otherwise it is dropped, and a page that is stuck is let go. */
  const hasRoom = (stream: Stream, nowMs: number): boolean => {
    if (!stream.out.writableNeedDrain) {
      stream.fullMs = null;
      return true;
    }
    counts.dropped++;
    stream.fullMs ??= nowMs;
    if (nowMs - stream.fullMs > STUCK_MS) drop(stream);
    return false;
  };

  return {
    counts,
    open(address, device, first) {
      let ofOne = 0;
      for (const stream of streams) if (stream.address === address) ofOne++;
      if (streams.size >= MOST || ofOne >= MOST_OF_ONE) return null;
      const out = new PassThrough({ highWaterMark: WAITING_BYTES });
      const stream: Stream = { out, address, device, layout: null, fullMs: null };
      streams.add(stream);
      counts.open++;
      for (const end of ['close', 'error']) out.on(end, () => drop(stream));
      out.write('retry: 1000\n\n');
      if (first !== null) {
        out.write(frame('layout', first.layout) + frame('now', first.now));
        stream.layout = first.layout.id;
      }
      return out;
    },
    send(now, layout, nowMs) {
      const text = frame('now', now);
      for (const stream of streams) {
        if (!hasRoom(stream, nowMs)) continue;
        if (stream.layout !== layout.id) {
          stream.out.write(frame('layout', layout));
          stream.layout = layout.id;
        }
        stream.out.write(text);
        counts.sent++;
      }
    },
    beat(beat, nowMs) {
      const text = frame('beat', beat);
      for (const stream of streams) if (hasRoom(stream, nowMs)) stream.out.write(text);
    },
    devices() {
      const devices = new Set<number>();
      for (const stream of streams) if (stream.device !== null) devices.add(stream.device);
      return devices;
    },
    leave(device) {
      for (const stream of streams) if (stream.device === device) drop(stream);
    },
    close() {
      for (const stream of streams) drop(stream);
    },
  };
}
