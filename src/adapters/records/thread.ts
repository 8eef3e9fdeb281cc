import type { Worker } from 'node:worker_threads';
import { startThread } from '../thread.ts';
import type { FromWorker, ToWorker, TracePlace, WorkerOptions } from './messages.ts';
import type { Queue } from './queue.ts';

/** A thread that died is started again after this, ms; longer each time it dies without an answer. */
const AGAIN_MS = { first: 500, most: 30_000 };
const LOOK_MS = 1000;

/** The records thread, kept alive. */
export interface Thread {
  close: (withinMs: number) => Promise<{ unsaved: number }>;
  /** Gives an order that is not kept for another thread; false where none runs. */
  order: (order: ToWorker) => boolean;
}

type Start = Omit<WorkerOptions, 'resume'>;
type Hear = (answer: FromWorker) => void;

/** Starts the thread, and another one that carries on where it fell whenever it dies. */
export function keepThread(
  options: Start,
  queue: Queue,
  hear: Hear,
  begin: (data: WorkerOptions) => Worker = startWorker,
): Thread {
  let place: TracePlace | null = null;
  let worker: Worker | null = null;
  let deaths = 0;
  const ending = { over: false, whenClosed: (): void => undefined };

  const answered = (answer: FromWorker): void => {
    if (answer.kind === 'lines') place = answer.trace;
    if (answer.kind === 'ready') deaths = 0;
    if (answer.kind === 'refused') ending.over = true;
    if (answer.kind === 'closed') ending.whenClosed();
    note(queue, answer);
    hear(answer);
  };
  const start = (): void => {
    if (ending.over) return;
    let cause = 'it ended';
    const to = begin({ ...options, resume: place });
    worker = to;
    to.on('message', answered);
    to.on('error', (error) => {
      cause = String(error);
    });
    to.on('exit', () => {
      worker = null;
      queue.connect(null);
      ending.whenClosed();
      if (ending.over) return;
      queue.trouble('write', null);
      queue.trouble('dead', `Records not being saved: their thread stopped (${cause}). ${AGAIN}`);
      deaths += 1;
      setTimeout(start, Math.min(AGAIN_MS.first * 2 ** (deaths - 1), AGAIN_MS.most)).unref();
    });
    queue.connect((order) => {
      to.postMessage(order satisfies ToWorker);
    });
  };
  start();
  const watch = setInterval(queue.look, LOOK_MS);
  watch.unref();
  return {
    order: (order) => {
      worker?.postMessage(order);
      return worker !== null;
    },
    close: async (withinMs) => {
      ending.over = true;
      clearInterval(watch);
      if (worker !== null) await endThread(worker, ending, withinMs);
      const { rows, lines } = queue.waiting();
      return { unsaved: rows + lines };
    },
  };
}

/** A thread that does not even leave by itself stands in a call to the card, ms. */
const HANGS_MS = 2000;
const AGAIN = 'It is started again by itself; nothing that waits is lost while Fank runs.';

/** What an answer means for the queue. */
function note(queue: Queue, answer: FromWorker): void {
  if (answer.kind === 'rows') queue.rowsDone(answer.upTo);
  else if (answer.kind === 'lines') queue.linesDone(answer.upTo);
  else if (answer.kind === 'link') queue.trouble('write', answer.up ? null : answer.reason);
  else if (answer.kind === 'ready') queue.trouble('dead', null);
  else if (answer.kind === 'refused') queue.trouble('refused', answer.reason);
}

async function endThread(
  worker: Worker,
  ending: { whenClosed: () => void },
  withinMs: number,
): Promise<void> {
  const closed = new Promise<void>((resolve) => {
    ending.whenClosed = resolve;
  });
  worker.postMessage({ kind: 'close' } satisfies ToWorker);
  const exited = new Promise<void>((resolve) => worker.once('exit', () => resolve()));
  // It leaves by itself: ended from outside in the midst of an error of SQLite's, it would take the process with it.
  const leave = setTimeout(() => {
    worker.postMessage({ kind: 'leave' } satisfies ToWorker);
  }, withinMs);
  const force = setTimeout(() => void worker.terminate(), withinMs + HANGS_MS);
  await Promise.race([closed, exited]);
  clearTimeout(leave);
  clearTimeout(force);
  await worker.terminate();
}

/** Starts the records thread. */
export function startWorker(workerData: WorkerOptions): Worker {
  return startThread('worker', import.meta.url, workerData);
}
