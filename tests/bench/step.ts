/** How long one step of the core takes, over the golden trace: `npx tsx tests/bench/step.ts`. */
import { join } from 'node:path';
import type { Config } from '../../src/core/step.ts';
import { initial, step } from '../../src/core/step.ts';
import type { Input } from '../../src/core/trace.ts';
import { readTrace } from '../../src/replay/read.ts';
import { run } from '../../src/replay/run.ts';

const { header, records } = readTrace(join(import.meta.dirname, '../golden/race.trace.ndjson'));
const config = header.config as Config;
const inputs: Input[] = [];
run({
  config,
  inputs: records as Input[],
  attend: false,
  untilMs: records.at(-1)?.t ?? 0,
  produce: () => undefined,
});
let tick = 0;
for (const record of records as Input[]) {
  for (; tick < record.t; tick += 20) inputs.push({ t: tick, tick: true });
  inputs.push(record);
}
const times: number[] = [];
for (let round = 0; round < 20; round += 1) {
  let state = initial(config);
  for (const input of inputs) {
    const begin = process.hrtime.bigint();
    state = step(config, state, input).state;
    if (round >= 5) times.push(Number(process.hrtime.bigint() - begin) / 1000);
  }
}
times.sort((a, b) => a - b);
const at = (share: number): string => (times[Math.floor(times.length * share)] ?? 0).toFixed(1);
process.stdout.write(
  `one step, microseconds: p50 ${at(0.5)}, p99 ${at(0.99)}, p99.9 ${at(0.999)} ` +
    `(${times.length} steps; aim p99 50; Node ${process.version})\n`,
);
