import { Worker } from 'node:worker_threads';

/**
 * Starts the worker thread whose entry file `name` (without ending) stands beside `from`.
 * Compiled code runs as it is; run from TypeScript, the thread loads the same loader as we did.
 */
export function startThread(name: string, from: string, workerData: unknown): Worker {
  const typescript = from.endsWith('.ts');
  const url = new URL(`./${name}${typescript ? '.ts' : '.js'}`, from);
  return new Worker(url, { workerData, execArgv: typescript ? ['--import', 'tsx'] : [] });
}
