/** One trace through `step`, from its header, its first record and whatever it has of readings. */
import { createDecoder } from '../config/frames/decode.ts';
import type { ScaleProfile } from '../config/frames/schema.ts';
import { loadProfile } from '../config/profiles.ts';
import { initial, type Config, type State } from '../core/step.ts';
import type { Crossing, Input, TraceHeader } from '../core/trace.ts';
import { stillOn } from './animals.ts';
import type { TraceFile } from './read.ts';
import { run, type Produced } from './run.ts';

/** What came of a trace. */
export interface Played {
  config: Config;
  start: State;
  produced: Produced[];
  animals: Crossing[];
}

/**
 * Plays a trace on this configuration until `pastMs` past its last record.
 * @param instead what is run where the trace changes to another configuration.
 * @throws Error where its readings are bytes alone and nobody knows their profile.
 */
export function play(
  trace: TraceFile,
  config: Config,
  pastMs: number,
  instead: (config: Config) => Config = (given) => given,
): Played {
  const inputs = inputsOf(trace);
  const recorded = trace.records.find((r) => 'state' in r);
  const start = recorded === undefined ? initial(config) : (recorded.state as State);
  const produced: Produced[] = [];
  const attend = !inputs.some((input) => 'command' in input) && recorded === undefined;
  const end = run({
    config,
    state: start,
    inputs,
    instead,
    attend,
    untilMs: (trace.records.at(-1)?.t ?? 0) + pastMs,
    produce: (item) => produced.push(item),
  });
  const animals = produced.flatMap((item) =>
    item.kind === 'event' && item.event.kind === 'left' ? [item.event.crossing] : [],
  );
  const on = stillOn(end);
  if (on !== null) animals.push(on);
  return { config, start, produced, animals };
}

/** What `step` is given; readings are decoded from bytes where the trace has none. */
function inputsOf(trace: TraceFile): Input[] {
  const inputs = trace.records.filter(isInput);
  if (inputs.some((input) => 'kg' in input)) return inputs;
  if (!trace.records.some((r) => 'bytes' in r)) return inputs;
  const profile = profileOf(trace.header);
  if (profile === null) {
    const name = trace.header.scale.profile ?? '';
    throw new Error(
      `${trace.file}:1:1: no profile ${name} to decode its bytes by. Name a shipped one in "scale".`,
    );
  }
  const decoder = createDecoder(profile);
  return trace.records.flatMap((record): Input[] => {
    if (!('bytes' in record)) return isInput(record) ? [record] : [];
    const { t } = record;
    return decoder.push(Buffer.from(record.bytes, 'base64')).map(({ kg, motion, status }) => ({
      t,
      kg,
      ...(motion === undefined ? {} : { motion }),
      ...(status === undefined ? {} : { status }),
    }));
  });
}

/** The profile that decodes a trace's bytes: its own, or the shipped one that it names. */
export function profileOf(header: TraceHeader): ScaleProfile | null {
  if (header.frames !== undefined) return header.frames as ScaleProfile;
  const loaded = loadProfile('scale', header.scale.profile ?? 'plain-continuous', null);
  return loaded?.ok === true ? loaded.value : null;
}

function isInput(record: TraceFile['records'][number]): record is Input {
  return !['bytes', 'truth', 'state', 'output', 'event'].some((key) => key in record);
}
