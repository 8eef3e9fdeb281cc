import { mkdirSync } from 'node:fs';
import { lockSite } from './lock.ts';
import type { FromWorker, RowMessage, TraceMessage, WorkerOptions } from './messages.ts';
import { openRows } from './rows.ts';
import { keepOf, openTraces } from './traces.ts';
import { inWords, isRefusal } from './trouble.ts';

/** Whole blocks of the trace are written this often, what is left over at the latest after `all`, ms. */
const LINES_MS = { blocks: 1000, all: 15_000 };
/** Rows that nobody waits for (the end of a crossing, an event) go with the next one, or after this, ms. */
const LAZY_MS = 15_000;
const RETRY_MS = { first: 500, most: 8000 };

/** Keeps what it is given until it is on the card; says so, and says when it cannot. */
export interface Writer {
  row(seq: number, message: RowMessage): void;
  line(seq: number, message: TraceMessage): void;
  /** Writes what there is, shuts the files and answers `closed`; goes on trying while that fails. */
  close(): void;
}

type Answer = (answer: FromWorker) => void;

/**
 * Takes the site folder and writes what comes. Whatever fails is kept and tried again, with
 * everything that came after it, in order.
 */
export function startWriter(options: WorkerOptions, answer: Answer): Writer {
  const rows = openRows(options, answer);
  const traces = openTraces(options, answer);
  const retry = retrying(answer);
  let closing = false;
  let unlock: (() => void) | null = null;
  /** When rows, and when what is left over of the trace, must be written; the first time at once. */
  let [rowsAt, wholeAt] = [0, 0];
  const writeRows = (): void => {
    if (!closing && performance.now() < rowsAt) return;
    rows.write();
    rowsAt = Infinity;
  };
  const writeTraces = (): void => {
    const all = closing || performance.now() >= wholeAt;
    traces.write(all);
    if (all) wholeAt = performance.now() + LINES_MS.all;
    if (traces.waiting()) schedule(LINES_MS.all + 1);
  };
  const flush = (): number | null => {
    try {
      unlock ??= takeSite(options.siteDir);
      const first = [attempt(writeRows), attempt(writeTraces)].find((error) => error !== null);
      if (first !== undefined) throw first;
      if (closing) finish();
      retry.worked();
      return null;
    } catch (error) {
      if (!isRefusal(error)) return retry.failed((error as Error).message);
      answer({ kind: 'refused', reason: error.message });
      return null;
    }
  };
  const finish = (): void => {
    rows.close();
    traces.close();
    unlock?.();
    answer({ kind: 'closed' });
  };
  const schedule = scheduler(flush);
  schedule(0);
  return {
    row: (seq, message) => {
      rows.push(seq, message);
      const wait = isUrgent(message) ? 0 : LAZY_MS;
      rowsAt = Math.min(rowsAt, performance.now() + wait);
      schedule(wait + 1); // timers may come a little early
    },
    line: (seq, message) => {
      traces.push(seq, message);
      schedule(keepOf(message) === 'synced' ? 0 : LINES_MS.blocks);
    },
    close: () => {
      closing = true;
      schedule(0);
    },
  };
}

/** Runs `flush` at the earliest time asked for; while it fails, only when it said to try again. */
function scheduler(flush: () => number | null): (ms: number) => void {
  let timer: { due: number; handle: NodeJS.Timeout } | null = null;
  let retryAt = 0;
  const schedule = (ms: number): void => {
    const due = Math.max(performance.now() + ms, retryAt);
    if (timer !== null && timer.due <= due) return;
    if (timer !== null) clearTimeout(timer.handle);
    const run = (): void => {
      timer = null;
      const wait = flush();
      retryAt = wait === null ? 0 : performance.now() + wait;
      if (wait !== null) schedule(wait);
    };
    timer = { due, handle: setTimeout(run, due - performance.now()) };
  };
  return schedule;
}

function retrying(answer: Answer): { worked(): void; failed(reason: string): number } {
  let fails = 0;
  let told: string | null = null;
  return {
    worked: () => {
      if (told !== null)
        answer({ kind: 'link', up: true, reason: 'Records are being saved again.' });
      told = null;
      fails = 0;
    },
    failed: (reason) => {
      if (told !== reason) answer({ kind: 'link', up: false, reason });
      told = reason;
      fails += 1;
      return Math.min(RETRY_MS.first * 2 ** (fails - 1), RETRY_MS.most);
    },
  };
}

function attempt(write: () => void): Error | null {
  try {
    write();
    return null;
  } catch (error) {
    return error instanceof Error ? error : new Error(String(error));
  }
}

function takeSite(siteDir: string): () => void {
  try {
    mkdirSync(siteDir, { recursive: true });
    return lockSite(siteDir);
  } catch (error) {
    if (isRefusal(error)) throw error;
    throw new Error(inWords(error, siteDir), { cause: error });
  }
}

/** Somebody waits for it: the page, or the race. */
function isUrgent(message: RowMessage): boolean {
  if (message.kind === 'crossing') return !message.final;
  if (message.kind === 'event') return message.event.kind === 'fault' && message.event.on;
  return true;
}
