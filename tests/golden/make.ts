/**
 * Makes the golden trace anew: `npx tsx tests/golden/make.ts`. To be run, and its difference looked
 * at, only where a change of decisions is meant.
 */
import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { Race } from '../../simulator/race.ts';
import { createRandom } from '../../simulator/random.ts';
import { createWeighHead } from '../../simulator/weigh-head.ts';
import { defaultConfig } from '../../src/config/defaults.ts';
import { initial, step, type State } from '../../src/core/step.ts';
import { TICK_MS, type Command, type Input } from '../../src/core/trace.ts';
import { formatLine } from '../../src/core/trace-codec.ts';
import { hashOfRun } from './hash.ts';

const LAMBS = 12;
const fitted = ['frontShut', 'stopLoop', 'actuatorPower', 'laneClear'];
const config = defaultConfig({ scale: { divisionKg: 0.1, rateHz: 10 }, inputs: fitted });
const random = createRandom(2026);
const race = new Race(random.branch(1), {
  gate: config.gate,
  animals: LAMBS,
  oddShare: 0.25,
  exitFor: (kg) => (kg < 40 ? 'left' : kg < 45 ? 'ahead' : 'right'),
  heldBack: () => state.cycle.mode !== 'running',
});
const head = createWeighHead(random.branch(2), { divisionKg: 0.1, rateHz: 10 });

let state: State = initial(config);
let levels: Record<string, boolean> = {};
let seen: Record<string, boolean> = {};
const inputs: Input[] = [];

function give(input: Input): void {
  const stepped = step(config, state, input);
  state = stepped.state;
  levels = stepped.outputs;
  if (!('tick' in input)) inputs.push(input);
}

/** What the person at the race would press. */
function attend(t: number): Command[] {
  if (t % 1000 !== 0 || t === 0) return [];
  if (state.cycle.mode === 'stopped') return [{ do: 'start' }, { do: 'confirm' }];
  if (state.cycle.mode === 'fault') return [{ do: 'clear' }, { do: 'start' }, { do: 'confirm' }];
  return state.gate.laneNeedsConfirm ? [{ do: 'confirm' }] : [];
}

for (let t = 0; race.passed.length < LAMBS || state.cycle.animal !== null; t += TICK_MS) {
  for (const command of race.advance(t, levels)) give({ t, command });
  for (let at = Math.max(0, t - TICK_MS + 5); at <= t; at += 5) {
    const reading = head.sample(at, race.forceKg(at));
    if (reading !== null) give({ t, ...reading });
  }
  const shown = race.inputs();
  for (const input of fitted) {
    const on = shown[input] ?? false;
    if ((seen[input] ?? false) !== on) give({ t, input, on });
  }
  seen = shown;
  for (const command of attend(t)) give({ t, command });
  give({ t, tick: true });
}

const header = {
  trace: 1 as const,
  startedAt: null,
  scale: { divisionKg: 0.1, rateHz: 10 },
  inputs: fitted,
  note: 'twelve invented lambs of a seed, one in four out of the ordinary',
  config,
};
const text = [header, ...inputs].map((line) => `${formatLine(line)}\n`).join('');
writeFileSync(join(import.meta.dirname, 'race.trace.ndjson'), text);
const { hash } = hashOfRun(join(import.meta.dirname, 'race.trace.ndjson'));
writeFileSync(join(import.meta.dirname, 'race.sha256'), `${hash}\n`);
process.stdout.write(`${inputs.length} records, ${hash}\n`);
