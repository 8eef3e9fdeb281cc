import type { Input } from './core/trace.ts';

type BytesRecord = { t: number; bytes: string };

/** So long, and so many bytes, of raw bytes are gathered into one record. */
const GATHER_MS = 1000;
const GATHER_BYTES = 512;
/** With no reading for this long the bytes are not understood, and when each came must be kept, ms. */
const UNREAD_MS = 1000;

/**
 * Raw bytes of the weigh head on their way into the trace. While readings come out of them, the
 * readings say when they came and the bytes of a second make one record, which spares the card;
 * while none do, each arrival is a record of its own.
 */
export class RawBytes {
  readonly #keep: (record: BytesRecord) => void;
  #held: Uint8Array[] = [];
  #size = 0;
  #since = 0;
  #readAt: number | null = null;

  constructor(keep: (record: BytesRecord) => void) {
    this.#keep = keep;
  }

  /** Bytes that arrived at `t`. */
  take(bytes: Uint8Array, t: number): void {
    if (this.#held.length === 0) this.#since = t;
    this.#held.push(bytes);
    this.#size += bytes.length;
    const read = this.#readAt !== null && t - this.#readAt < UNREAD_MS;
    if (!read || this.#size >= GATHER_BYTES) this.flush(t);
  }

  /** Something was given to the core: a reading, or time that has passed. */
  see(input: Input): void {
    if ('kg' in input) this.#readAt = input.t;
    // What came before the line was opened anew must not be read on with what comes after.
    const anew = 'link' in input && input.link === 'scale';
    if (anew || input.t - this.#since >= GATHER_MS) this.flush(input.t);
  }

  /** Everything held so far becomes a record of time `t`. */
  flush(t: number): void {
    if (this.#held.length === 0) return;
    this.#keep({ t, bytes: Buffer.concat(this.#held).toString('base64') });
    this.#held = [];
    this.#size = 0;
  }

  /** The trace ends at `t`, and the next begins at 0. */
  end(t: number): void {
    this.flush(t);
    if (this.#readAt !== null) this.#readAt -= t;
  }
}
