/**
 * How long one step of the core takes: `npx tsx tests/bench/step.ts`.
 *
 * The core is bundled first, as it is when compiled: what runs the sources wraps every function. A
 * simulated race makes the inputs, at 10, 20 and 50 readings a second; after a warm-up each step is
 * timed. The call is pure, so it is made again and again: the least is its own time, the first is
 * what it took with whatever else the machine did.
 */
import { buildSync } from 'esbuild';
import { cpus } from 'node:os';
import { join } from 'node:path';
import { Race } from '../../simulator/race.ts';
import { createRandom } from '../../simulator/random.ts';
import { createWeighHead } from '../../simulator/weigh-head.ts';
import { defaultConfig } from '../../src/config/defaults.ts';
import type { Config, State, initial, step } from '../../src/core/step.ts';
import { TICK_MS } from '../../src/core/trace.ts';
import type { Input } from '../../src/core/trace.ts';
import { quantile } from './statistics.ts';

interface Core {
  initial: typeof initial;
  step: typeof step;
}

const FITTED = ['frontShut', 'stopLoop', 'actuatorPower', 'laneClear'];
const LAMBS = 15;
const WARM_ROUNDS = 3;
const ROUNDS = 5;
const CALLS = 3;

async function bundled(): Promise<Core> {
  const entry = join(import.meta.dirname, '../../src/core/step.ts');
  const made = buildSync({ entryPoints: [entry], bundle: true, format: 'esm', write: false });
  const text = Buffer.from(made.outputFiles[0]?.contents ?? []).toString('base64');
  return (await import(`data:text/javascript;base64,${text}`)) as Core;
}

/** The inputs of a race that was run through the core, ticks among them. */
function raceInputs(core: Core, config: Config): Input[] {
  const random = createRandom(77);
  let state: State = core.initial(config);
  let levels: Record<string, boolean> = {};
  let seen: Record<string, boolean> = {};
  const inputs: Input[] = [];
  const give = (input: Input): void => {
    inputs.push(input);
    const stepped = core.step(config, state, input);
    state = stepped.state;
    levels = stepped.outputs;
  };
  const race = new Race(random.branch(1), {
    gate: config.gate,
    animals: LAMBS,
    oddShare: 0,
    exitFor: (kg) => (kg < 40 ? 'left' : kg < 45 ? 'ahead' : 'right'),
    heldBack: () => state.cycle.mode !== 'running',
  });
  const head = createWeighHead(random.branch(2), config.scale);
  for (let t = 0; race.passed.length < LAMBS; t += TICK_MS) {
    for (const command of race.advance(t, levels)) give({ t, command });
    for (let at = Math.max(0, t - TICK_MS + 5); at <= t; at += 5) {
      const reading = head.sample(at, race.forceKg(at));
      if (reading !== null) give({ t, ...reading });
    }
    const shown = race.inputs();
    for (const input of FITTED) {
      const on = shown[input] ?? false;
      if ((seen[input] ?? false) !== on) give({ t, input, on });
    }
    seen = shown;
    if (t % 1000 === 0 && state.cycle.mode === 'stopped') give({ t, command: { do: 'start' } });
    if (t % 1000 === 0 && state.gate.laneNeedsConfirm) give({ t, command: { do: 'confirm' } });
    give({ t, tick: true });
  }
  return inputs;
}

interface Times {
  least: number[];
  first: number[];
  /** Least time of the steps that had a reading while an animal was on. */
  weighed: number[];
}

function timesOf(core: Core, config: Config, inputs: readonly Input[]): Times {
  const least: number[] = inputs.map(() => Infinity);
  const first: number[] = [];
  const loaded: boolean[] = [];
  for (let round = 0; round < WARM_ROUNDS + ROUNDS; round += 1) {
    let state = core.initial(config);
    inputs.forEach((input, i) => {
      let after = state;
      for (let k = 0; k < CALLS; k += 1) {
        const from = process.hrtime.bigint();
        after = core.step(config, state, input).state;
        const took = Number(process.hrtime.bigint() - from) / 1000;
        if (round < WARM_ROUNDS) continue;
        least[i] = Math.min(least[i] ?? took, took);
        if (k === 0) first.push(took);
      }
      state = after;
      loaded[i] = 'kg' in input && state.weighing.occupancy === 'loaded';
    });
  }
  return { least, first, weighed: least.filter((_, i) => loaded[i]) };
}

async function main(): Promise<void> {
  const core = await bundled();
  const pair = (values: number[]): string =>
    `${quantile(values, 0.5).toFixed(1)} / ${quantile(values, 0.99).toFixed(1)}`;
  console.log(
    `One step of the core, microseconds, p50 / p99 (aim p99 50); ${cpus()[0]?.model ?? ''}, Node ${process.version}\n`,
  );
  console.log('| readings a second | steps | all, least of 15 | all, first call | weighing |');
  console.log('| --- | --- | --- | --- | --- |');
  for (const rateHz of [10, 20, 50]) {
    const config = defaultConfig({ scale: { divisionKg: 0.1, rateHz }, inputs: FITTED });
    const { least, first, weighed } = timesOf(core, config, raceInputs(core, config));
    const cells = [String(rateHz), String(least.length), pair(least), pair(first), pair(weighed)];
    console.log(`| ${cells.join(' | ')} |`);
  }
}

await main();
