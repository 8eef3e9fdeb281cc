/** A trace sorted by kind, so that each part of the diagnosis looks at its own. */
import type { Config, State } from '../core/step.ts';
import type { Event, Input, ReadingInput, TraceHeader } from '../core/trace.ts';
import type { KeptRecord } from '../core/trace-codec.ts';

export interface Level {
  t: number;
  on: boolean;
}

export interface Seen {
  divisionKg: number;
  rateHz: number;
  /** What the trace was recorded with, or null where it does not say. */
  config: Config | null;
  readings: ReadingInput[];
  /** Level of each fitted input at t = 0 and each change after. */
  inputs: Record<string, Level[]>;
  outputs: Record<string, Level[]>;
  volts: { t: number; volts: number }[];
  events: { t: number; event: Event }[];
  lates: { t: number; late: number }[];
  links: { t: number; link: string; up: boolean }[];
  endT: number;
}

export function see(header: TraceHeader, records: readonly (Input | KeptRecord)[]): Seen {
  const seen: Seen = {
    divisionKg: header.scale.divisionKg,
    rateHz: header.scale.rateHz,
    config: header.config ?? null,
    readings: [],
    inputs: Object.fromEntries(header.inputs.map((name) => [name, [{ t: 0, on: false }]])),
    outputs: {},
    volts: [],
    events: [],
    lates: [],
    links: [],
    endT: records.at(-1)?.t ?? 0,
  };
  for (const record of records) sort(seen, record);
  return seen;
}

function sort(seen: Seen, record: Input | KeptRecord): void {
  if ('kg' in record) seen.readings.push(record);
  else if ('input' in record) (seen.inputs[record.input] ??= []).push(record);
  else if ('output' in record) (seen.outputs[record.output] ??= []).push(record);
  else if ('volts' in record) seen.volts.push(record);
  else if ('event' in record) seen.events.push(record);
  else if ('late' in record) seen.lates.push(record);
  else if ('link' in record) seen.links.push(record);
  else if ('state' in record) begin(seen, record.state as Partial<State>);
}

/** A trace that goes on from another says in its first record how the contacts stood. */
function begin(seen: Seen, state: Partial<State>): void {
  for (const [name, { raw }] of Object.entries(state.contacts?.inputs ?? {})) {
    seen.inputs[name] = [{ t: 0, on: raw }];
  }
}

/** The level at time t; off before the first. */
export function levelAt(levels: readonly Level[] | undefined, t: number): boolean {
  return levels?.findLast((level) => level.t <= t)?.on ?? false;
}

/** Stretches in which an output is on; one that is on at the end ends there. */
export function stretchesOn(
  levels: readonly Level[] | undefined,
  endT: number,
): { from: number; to: number }[] {
  const list: { from: number; to: number }[] = [];
  let from: number | null = null;
  for (const { t, on } of levels ?? []) {
    if (on) from ??= t;
    else if (from !== null) {
      list.push({ from, to: t });
      from = null;
    }
  }
  if (from !== null) list.push({ from, to: endT });
  return list;
}
