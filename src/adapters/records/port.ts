import { randomBytes } from 'node:crypto';
import type { Given } from '../../core/sortplan/dosing.ts';
import type { Crossing, Event, Input, TraceHeader } from '../../core/trace.ts';
import type {
  Correction,
  EarlierWeightRow,
  MendSince,
  Ready,
  RowMessage,
  SessionInfo,
  SessionPlan,
  SiteFile,
  Wall,
} from './messages.ts';
import type { SessionNow } from './session-now.ts';
import { openQueue } from './queue.ts';
import { checkOrders, type CheckRow } from './check-weights.ts';
import { planOrders } from './plans.ts';
import { fileOrders } from './site-files.ts';
import { keepThread } from './thread.ts';

export type {
  Correction,
  RaceTreatment,
  Ready as RecordsReady,
  SessionInfo,
  SessionPlan,
  Wall,
} from './messages.ts';
export type { SessionNow } from './session-now.ts';

/** The module that reads the day book for the page's thread (see `BookModule`). */
export const BOOK_MODULE = import.meta.url.endsWith('.ts')
  ? new URL('./book-for-page.ts', import.meta.url).href
  : new URL('./book-for-page.js', import.meta.url).href;

export interface RecordsOptions {
  siteDir: string;
  /** IANA zone of the site. */
  zone: string;
  /** Fank's version, kept with each session. */
  version: string;
  /** Header of the first trace and the state at its t = 0. */
  header: TraceHeader;
  state: unknown;
  /** Greatest size of all trace files together, bytes; 512 MiB if not said. */
  maxTraceBytes?: number;
  /** For tests: every commit takes this much longer. */
  slowMs?: number;
}

/**
 * The main thread's side of the records. Nothing here touches a file, the database, a hash or a
 * compressor: everything is put on a bounded queue for the records thread. What was taken on the
 * queue is not lost while the process lives, even if that thread dies.
 */
export interface Records {
  /**
   * Settles when the site folder is taken and the day book open; fails, in words, only where
   * trying again cannot help (another Fank on the same folder, a newer day book). While a card
   * keeps it from opening it waits, and `onLink` has said why.
   */
  ready: Promise<Ready>;
  /** A record that `step` is given; ticks are left out. Also for `bytes` and `truth` records. */
  input: (record: Input | { t: number; bytes: string } | { t: number; truth: unknown }) => void;
  output: (t: number, output: string, on: boolean) => void;
  /** An event of `step`: into the trace; calls, faults, refusals and changes of mode into the day book. */
  event: (t: number, event: Event, session: string | null, wall: Wall) => void;
  session: (session: SessionInfo, wall: Wall) => void;
  /** The row at letting go (`final` false), and once more when the crossing has ended. */
  crossing: (
    crossing: Crossing,
    session: string,
    final: boolean,
    wall: Wall,
    doseMl?: number | null,
  ) => void;
  correction: (correction: Correction, wall: Wall) => void;
  /** From now on this exit leads to another pen. */
  pen: (session: string, exit: string, pen: string, wall: Wall) => void;
  /** From now on every animal of the session is given this; null: nothing any more. */
  given: (session: string, given: Given | null, who: string | null, wall: Wall) => void;
  /** The pen's animals are run through again: its crossings so far count no longer. */
  runAgain: (session: string, pen: string, who: string | null, wall: Wall) => void;
  /** From now on the session is sorted by this plan. */
  plan: (session: string, plan: SessionPlan, wall: Wall) => void;
  /** Weights from before, from a list. */
  earlierWeights: (weights: EarlierWeightRow[], wall: Wall) => void;
  /** A known mass was put on the crate, and what was read. */
  checkWeight: (check: CheckRow, wall: Wall) => void;
  /** Writes files of the site, all or none; settles with null, or why not in words. */
  files: (files: SiteFile[]) => Promise<string | null>;
  /** The clock was found wrong by `deltaMs` while this session was written, since then. */
  mend: (session: string, since: MendSince, deltaMs: number, wall: Wall) => void;
  /** Ends the trace file and begins another from `state`, which is the state at its t = 0. */
  rotate: (header: TraceHeader, state: unknown) => void;
  /** A crossing is committed and synced. */
  onSaved: (callback: (session: string, animal: number) => void) => void;
  /**
   * How the session stands after a commit; `put`: what people's words changed in the head per lot
   * beyond the animals let go meanwhile.
   */
  onSession: (callback: (now: SessionNow, put: Record<string, number>) => void) => void;
  /** Records are (not) being saved, with the reason in words. */
  onLink: (callback: (up: boolean, reason: string) => void) => void;
  /** Lines had to be left out: this trace ends here, `rotate` at the next chance begins a whole one. */
  onTraceCut: (callback: (reason: string) => void) => void;
  /** Rows and lines that are not on the card yet. */
  waiting: () => { rows: number; lines: number };
  /** Writes what there is and ends the thread; after `withinMs` it gives up and says what was left. */
  close: (withinMs?: number) => Promise<{ unsaved: number }>;
}

/** Kinds of event that the day book keeps. */
const KEPT: readonly Event['kind'][] = [
  'mode',
  'unsure',
  'backed-out',
  'refused',
  'call',
  'fault',
  'zero',
  'battery',
];

export function startRecords(options: RecordsOptions): Records {
  const saved: ((session: string, animal: number) => void)[] = [];
  const queue = openQueue();
  const opening = promise<Ready>();
  const shown: ((now: SessionNow, put: Record<string, number>) => void)[] = [];
  const full = { maxTraceBytes: 512 << 20, slowMs: 0, ...options };
  const thread = keepThread(full, queue, (answer) => {
    files.answered(answer);
    if (answer.kind === 'ready') opening.resolve(answer);
    else if (answer.kind === 'refused') opening.reject(new Error(answer.reason));
    else if (answer.kind === 'session') for (const tell of shown) tell(answer.now, answer.put);
    else if (answer.kind === 'saved') for (const tell of saved) tell(answer.session, answer.animal);
  });
  const files = fileOrders((order) => thread.order(order));
  const row = (message: RowMessage): void => {
    queue.row(message);
  };
  const line = (record: object): void => {
    queue.line({ kind: 'line', record });
  };
  return {
    ready: opening.promise,
    input: line,
    output: (t, output, on) => {
      line({ t, output, on });
    },
    event: (t, event, session, wall) => {
      line({ t, event });
      if (KEPT.includes(event.kind)) row({ kind: 'event', session, t, event, wall });
    },
    session: (session, wall) => {
      row({ kind: 'session', session, wall });
    },
    crossing: (crossing, session, final, wall, doseMl = null) => {
      row({ kind: 'crossing', session, crossing, final, doseMl, wall });
    },
    correction: (correction, wall) => {
      row({ kind: 'correction', correction, wall });
    },
    pen: (session, exit, pen, wall) => {
      row({ kind: 'pen', session, exit, pen, wall });
    },
    given: (session, given, who, wall) => {
      row({ kind: 'given', session, given, who, wall });
    },
    runAgain: (session, pen, who, wall) => {
      row({ kind: 'run-again', session, pen, who, wall });
    },
    ...planOrders(row),
    ...checkOrders(row),
    files: files.write,
    mend: (session, since, deltaMs, wall) => {
      row({ kind: 'mend', session, since, deltaMs, wall });
    },
    rotate: (header, state) => {
      queue.line({ kind: 'rotate', header, state });
    },
    onSaved: (callback) => {
      saved.push(callback);
    },
    onSession: (callback) => {
      shown.push(callback);
    },
    onLink: queue.onLink,
    onTraceCut: queue.onCut,
    waiting: queue.waiting,
    close: (withinMs = 10_000) => thread.close(withinMs),
  };
}

/** A promise that others settle. Its failure is no crash where nobody waits for it: `onLink` tells it too. */
function promise<T>(): {
  promise: Promise<T>;
  resolve(value: T): void;
  reject(error: Error): void;
} {
  let settle: [(value: T) => void, (error: Error) => void] = [() => undefined, () => undefined];
  const made = new Promise<T>((resolve, reject) => {
    settle = [resolve, reject];
  });
  made.catch(() => undefined);
  return { promise: made, resolve: settle[0], reject: settle[1] };
}

/**
 * A name for a session that no other has, even where the clock stands at the same wrong time after
 * every power-up: two animals under one name would be taken for one.
 */
export function newSessionId(wallMs: number): string {
  const when = new Date(wallMs).toISOString().slice(0, 19).replaceAll(/[:-]/g, '');
  return `${when}Z-${randomBytes(3).toString('hex')}`;
}
