import { createHash } from 'node:crypto';
import type { Config } from '../../src/core/step.ts';
import type { Input } from '../../src/core/trace.ts';
import { readTrace } from '../../src/replay/read.ts';
import { run } from '../../src/replay/run.ts';

/** Runs a trace that carries its configuration; the hash of all that comes out, in order. */
export function hashOfRun(file: string): { hash: string; items: number } {
  const { header, records } = readTrace(file);
  const sum = createHash('sha256');
  let items = 0;
  run({
    config: header.config as Config,
    inputs: records as Input[],
    attend: false,
    untilMs: (records.at(-1)?.t ?? 0) + 5000,
    produce: (item) => {
      items += 1;
      sum.update(`${JSON.stringify(item)}\n`);
    },
  });
  return { hash: sum.digest('hex'), items };
}
