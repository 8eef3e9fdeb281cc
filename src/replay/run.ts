/**
 * Runs `step` over a trace: records of equal t in file order, then the tick of that t. Ticks fall on
 * every multiple of 20 ms from t = 0; the ones that a `late` record tells of were not made up.
 */
import { initial, step, type Config, type State } from '../core/step.ts';
import { TICK_MS, type Event, type Input } from '../core/trace.ts';
import { createAttendant } from './attendant.ts';

/** What comes out of a run, in order: inputs as given, output changes, events. */
export type Produced =
  | { kind: 'input'; record: Input }
  | { kind: 'output'; t: number; output: string; on: boolean }
  | { kind: 'event'; t: number; event: Event };

export interface RunOptions {
  config: Config;
  /** State at t = 0; the initial one where none is given. */
  state?: State;
  inputs: readonly Input[];
  /** What is run instead of a configuration that the trace changes to. */
  instead?: (config: Config) => Config;
  /** Insert the commands of a person where the trace has none. */
  attend: boolean;
  /** The last tick is at this time or just before it, ms. */
  untilMs: number;
  /** Called with everything that comes out, in order. */
  produce: (item: Produced) => void;
}

/** A first record later than this has no ticks before it, ms: its clock began long before. */
const LONG_BEFORE_MS = 600_000;

/** Runs to the end and gives the last state. */
export function run(options: RunOptions): State {
  const { inputs, produce } = options;
  let config = options.config;
  let state = options.state ?? initial(config);
  const levels = new Map<string, boolean>();
  const skipped = skippedTicks(inputs);
  const give = (input: Input): void => {
    if ('config' in input) {
      config = options.instead?.(input.config) ?? input.config;
    }
    const stepped = step(config, state, input);
    state = stepped.state;
    if (!('tick' in input)) produce({ kind: 'input', record: input });
    for (const [output, on] of Object.entries(stepped.outputs)) {
      if ((levels.get(output) ?? false) !== on) produce({ kind: 'output', t: input.t, output, on });
      levels.set(output, on);
    }
    for (const event of stepped.events) produce({ kind: 'event', t: input.t, event });
  };
  const attendant = options.attend ? createAttendant(inputs[0]?.t ?? 0) : null;
  const first = inputs[0]?.t ?? 0;
  let tick = first > LONG_BEFORE_MS ? Math.floor(first / TICK_MS) * TICK_MS : 0;
  const tickUntil = (t: number): void => {
    for (; tick < t; tick += TICK_MS) {
      if (skipped(tick)) continue;
      for (const command of attendant?.(state, tick) ?? []) give({ t: tick, command });
      give({ t: tick, tick: true });
    }
  };
  for (const input of inputs) {
    tickUntil(input.t);
    give(input);
  }
  tickUntil(options.untilMs + 1);
  return state;
}

/** Tells which ticks came too late to be made up: those from t - late to t of each `late` record. */
function skippedTicks(inputs: readonly Input[]): (tick: number) => boolean {
  const ranges = inputs.flatMap((input) =>
    'late' in input ? [{ from: input.t - input.late, to: input.t }] : [],
  );
  let i = 0;
  return (tick) => {
    while ((ranges[i]?.to ?? Infinity) < tick) i += 1;
    const range = ranges[i];
    return range !== undefined && tick >= range.from;
  };
}
