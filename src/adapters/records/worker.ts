import { parentPort, workerData } from 'node:worker_threads';
import type { FromWorker, ToWorker, WorkerOptions } from './messages.ts';
import { isTrace } from './messages.ts';
import { writeSiteFiles } from './site-files.ts';
import { startWriter } from './writer.ts';

/** The records thread: SQLite's only writer, and the trace files'. */
const port = parentPort;
if (port === null) throw new Error('worker.ts runs as a thread; start it through port.ts');

const writer = startWriter(workerData as WorkerOptions, (answer: FromWorker) => {
  port.postMessage(answer);
  if (answer.kind === 'closed' || answer.kind === 'refused') port.close();
});

port.on('message', (order: ToWorker) => {
  if (order.kind === 'close') writer.close();
  else if (order.kind === 'leave') process.exit();
  else if (order.kind === 'files') {
    const { siteDir } = workerData as WorkerOptions;
    const reason = writeSiteFiles(siteDir, order.files);
    port.postMessage({ kind: 'filed', id: order.id, reason } satisfies FromWorker);
  } else if (isTrace(order.message)) writer.line(order.seq, order.message);
  else writer.row(order.seq, order.message);
});
