/** A desk that is shown what an invented box does, a tick at a time. */
import { defaultConfig } from '../../src/config/defaults.ts';
import { FittingDesk, type DeskOptions } from '../../src/fitting/desk.ts';
import { NOTHING_DONE, type FittingState, type Marks } from '../../src/fitting/state.ts';
import type { Yard } from '../../src/fitting/steps.ts';
import type { FittingSaid, ItemView } from '../../src/fitting/view.ts';
import { TICK_MS, type Mode } from '../../src/core/trace.ts';

const MARKS: Marks = { scale: 'scale 1', inputs: 'inputs 1', gate: 'gate 1' };
export const INPUTS = ['frontShut', 'laneClear', 'stopLoop', 'actuatorPower', 'startButton'];

export function yardOf(inputs: string[] = INPUTS): Yard {
  const { scale, gate, battery } = defaultConfig();
  return { scale, gate: { ...gate, dropOutMs: 200 }, battery, inputs };
}

export class Fitter {
  nowMs = 0;
  mode: Mode = 'fitting';
  inputs: Record<string, boolean>;
  outputs: Record<string, boolean> = {};
  kg: number | null = null;
  volts: number | null = null;
  written: FittingState = NOTHING_DONE;
  failing: string | null = null;
  changes = 0;
  readonly desk: FittingDesk;

  constructor(change: Partial<DeskOptions> = {}) {
    const yard = change.yard ?? yardOf();
    this.inputs = Object.fromEntries(yard.inputs.map((name) => [name, !name.endsWith('Button')]));
    this.desk = new FittingDesk({
      yard,
      profiles: { scale: 'head', board: 'box', gate: 'gate', crate: 'crate' },
      marks: MARKS,
      state: NOTHING_DONE,
      needed: true,
      now: () => this.nowMs,
      wall: () => ({ atMs: 1_790_000_000_000 + this.nowMs, clockSet: true }),
      boot: 'start 1',
      write: (state) => {
        if (this.failing === null) this.written = state;
        return Promise.resolve(this.failing);
      },
      changed: () => {
        this.changes += 1;
      },
      ...change,
    });
    this.wait(TICK_MS);
  }

  /** Shows the desk how things stand, tick for tick. */
  wait(ms: number): this {
    for (const end = this.nowMs + ms; this.nowMs < end;) {
      this.nowMs += TICK_MS;
      const raw = Object.entries(this.inputs).map(([name, on]) => [name, { raw: on, level: on }]);
      this.desk.see(
        {
          nowMs: this.nowMs,
          inputs: Object.fromEntries(raw) as Record<string, { raw: boolean; level: boolean }>,
          outputs: { ...this.outputs },
          volts: this.volts,
          renewedMs: null,
          ...(this.nowMs % 100 === 0 && this.kg !== null ? { kg: this.kg } : {}),
        },
        this.mode,
      );
    }
    return this;
  }

  set(input: string, on: boolean, ms = 200): this {
    this.inputs[input] = on;
    return this.wait(ms);
  }

  /** A finger on a leaf's button for so long. */
  stroke(output: string, ms: number): this {
    this.outputs[output] = true;
    this.outputs['keepAlive'] = true;
    this.wait(ms);
    this.outputs[output] = false;
    return this.wait(TICK_MS);
  }

  say(
    said: FittingSaid extends infer One ? (One extends unknown ? Omit<One, 'who'> : never) : never,
  ) {
    return this.desk.said({ who: 'A. Fitter', ...said });
  }

  item(id: string): ItemView {
    for (const step of this.desk.view().steps) {
      const found = step.items.find((one) => one.id === id);
      if (found !== undefined) return found;
    }
    throw new Error(`no item ${id}`);
  }

  /** What was watched for is written after a turn of the event loop. */
  async settled(): Promise<this> {
    await new Promise((resolve) => setImmediate(resolve));
    return this;
  }
}
