import { Worker } from 'node:worker_threads';

/**
 * Starts the worker thread whose entry file `name` (without ending) stands beside `from`. Compiled
 * code runs as it is; run from TypeScript, the thread registers its loader first, since Node 20 does
 * not hand `--import tsx` down to the entry file of a thread.
 */
export function startThread(name: string, from: string, workerData: unknown): Worker {
  if (!from.endsWith('.ts')) {
    return new Worker(new URL(`./${name}.js`, from), { workerData });
  }
  const url = JSON.stringify(new URL(`./${name}.ts`, from).href);
  const boot = `import('tsx/esm/api').then(({ register }) => { register(); return import(${url}); })`;
  return new Worker(boot, { eval: true, workerData });
}
