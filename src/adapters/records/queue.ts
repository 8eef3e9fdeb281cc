import { openLink, type Link } from './link.ts';
import type { Queued, RowMessage, TraceMessage } from './messages.ts';

/** Limits of the queue to the records thread. */
export interface QueueLimits {
  lines: number;
  /** All that waits together, bytes (estimated). */
  bytes: number;
  rows: number;
}

/** About half an hour at 10 readings a second, raw bytes kept beside them. */
const LIMITS: QueueLimits = { lines: 60_000, bytes: 8 << 20, rows: 2000 };
/** An answer is overdue after this, ms: lines and rows are written at the latest after 15 s. */
const OVERDUE_MS = 30_000;
const REMEDY =
  'Wait; if it stays so, the card is failing: copy the site folder off and replace it.';

type Order = Queued<RowMessage | TraceMessage>;
type Send = (order: Order) => void;

/** What waits for the records thread's answer, and whether the records are being saved. */
export interface Queue extends Link {
  row: (message: RowMessage) => void;
  line: (message: TraceMessage) => void;
  /** Everything up to and with this number is on the card. */
  rowsDone: (upTo: number) => void;
  linesDone: (upTo: number) => void;
  /** From now on orders go there; all that waits is given first, in its order. */
  connect: (send: Send | null) => void;
  /** Looks for answers that are overdue. */
  look: () => void;
  waiting: () => { rows: number; lines: number };
  /** Hears, once a trace, that lines had to be left out. */
  onCut: (callback: (reason: string) => void) => void;
}

export function openQueue(limits: QueueLimits = LIMITS, now = () => performance.now()): Queue {
  const rows = openList(now);
  const lines = openList(now);
  const link = openLink();
  const cut = openCut();
  let seq = 0;
  let send: Send | null = null;

  const put = (list: List, message: RowMessage | TraceMessage, size: number): void => {
    seq += 1;
    const order: Order = { kind: 'queued', seq, message };
    list.put(order, size);
    send?.(order);
  };
  const full = (what: string): void => {
    link.trouble(
      'full',
      `Records not being saved: more ${what} wait for the card than fit. ${REMEDY}`,
    );
  };
  const done = (list: List, upTo: number): void => {
    list.done(upTo);
    const half = rows.count() <= limits.rows / 2 && lines.count() <= limits.lines / 2;
    if (half && rows.bytes() + lines.bytes() <= limits.bytes / 2) link.trouble('full', null);
  };
  const takesLine = (size: number): boolean =>
    lines.count() < limits.lines && rows.bytes() + lines.bytes() + size <= limits.bytes;
  return {
    ...link,
    row: (message) => {
      const isFull = rows.count() >= limits.rows;
      if (isFull) full('rows');
      // An event can be done without; what was weighed or said by a person is always taken.
      if (!isFull || message.kind !== 'event') put(rows, message, sizeOf(message));
    },
    line: (message) => {
      if (message.kind === 'rotate') cut.end();
      const size = sizeOf(message);
      if (cut.isCut()) return;
      if (message.kind === 'rotate' || takesLine(size)) {
        put(lines, message, size);
        return;
      }
      full('lines of the trace');
      cut.begin();
    },
    rowsDone: (upTo) => {
      done(rows, upTo);
    },
    linesDone: (upTo) => {
      done(lines, upTo);
    },
    connect: (to) => {
      send = to;
      if (to === null) return;
      for (const order of [...rows.orders(), ...lines.orders()].sort((a, b) => a.seq - b.seq))
        to(order);
    },
    look: () => {
      const overdue = rows.age() > OVERDUE_MS || lines.age() > OVERDUE_MS;
      const reason = `Records not being saved: the card does not answer. ${REMEDY}`;
      link.trouble('overdue', overdue ? reason : null);
    },
    waiting: () => ({ rows: rows.count(), lines: lines.count() }),
    onCut: cut.onCut,
  };
}

/** Orders that wait for their answer. */
type List = ReturnType<typeof openList>;

function openList(now: () => number) {
  const waiting: { order: Order; size: number; since: number }[] = [];
  let bytes = 0;
  return {
    put: (order: Order, size: number): void => {
      waiting.push({ order, size, since: now() });
      bytes += size;
    },
    done: (upTo: number): void => {
      const still = waiting.findIndex(({ order }) => order.seq > upTo);
      const gone = waiting.splice(0, still < 0 ? waiting.length : still);
      bytes -= gone.reduce((sum, { size }) => sum + size, 0);
    },
    count: () => waiting.length,
    bytes: () => bytes,
    /** ms that the oldest has waited. */
    age: () => now() - (waiting[0]?.since ?? now()),
    orders: () => waiting.map(({ order }) => order),
  };
}

/** A trace with a hole would replay to something that never happened: it ends where the hole begins. */
function openCut() {
  const callbacks: ((reason: string) => void)[] = [];
  let cut = false;
  return {
    isCut: () => cut,
    begin: (): void => {
      cut = true;
      for (const tell of callbacks)
        tell('The trace ends here: the card did not take it fast enough.');
    },
    end: (): void => {
      cut = false;
    },
    onCut: (callback: (reason: string) => void): void => {
      callbacks.push(callback);
    },
  };
}

/** Bytes that a message takes up while it waits: its strings, and a flat rate for the rest. */
function sizeOf(value: object): number {
  let size = 64;
  for (const field of Object.values(value) as unknown[]) {
    if (typeof field === 'string') size += field.length;
    else if (typeof field === 'object' && field !== null) size += sizeOf(field);
  }
  return size;
}
