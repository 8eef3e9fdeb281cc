/** A little language for hand-written traces: weights at ten readings a second, contacts, commands. */
import type { Command, Input, TraceHeader } from '../../src/core/trace.ts';

export interface Script {
  /** Readings of `kg` for `ms`. */
  weigh(kg: number, ms: number): Script;
  /** Readings that go evenly from one weight to another. */
  ramp(from: number, to: number, ms: number): Script;
  input(input: string, on: boolean): Script;
  command(command: Command): Script;
  inputs(): Input[];
  text(header?: Partial<TraceHeader>): string;
}

/** Begins a trace at t = 0; `fitted` are off until their first record. */
export function script(fitted: string[]): Script {
  const list: Input[] = [];
  let t = 0;
  const at = (ms: number, kg: (share: number) => number): void => {
    const end = t + ms;
    for (; t < end; t += 100) list.push({ t, kg: Math.round(kg((t - end + ms) / ms) * 10) / 10 });
  };
  const self: Script = {
    weigh: (kg, ms) => {
      at(ms, () => kg);
      return self;
    },
    ramp: (from, to, ms) => {
      at(ms, (share) => from + (to - from) * share);
      return self;
    },
    input: (input, on) => {
      list.push({ t, input, on });
      return self;
    },
    command: (command) => {
      list.push({ t, command });
      return self;
    },
    inputs: () => list,
    text: (header = {}) => {
      const first: TraceHeader = {
        trace: 1,
        startedAt: null,
        scale: { divisionKg: 0.1, rateHz: 10 },
        inputs: fitted,
        ...header,
      };
      return [first, ...list].map((line) => `${JSON.stringify(line)}\n`).join('');
    },
  };
  return self;
}

/** One lamb of this weight through hand gates with a front contact and nothing else. */
export function oneLamb(s: Script, kg: number): Script {
  return s
    .weigh(0, 1500)
    .ramp(0, kg, 400)
    .weigh(kg, 3600)
    .input('frontShut', false)
    .weigh(kg, 200)
    .ramp(kg, 0, 500)
    .weigh(0, 500)
    .input('frontShut', true)
    .weigh(0, 1500);
}
