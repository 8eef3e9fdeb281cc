/** What the page shows of the real core: one simulated lamb at 42 kg through the default gate. */
import { describe, expect, test } from 'vitest';
import { createView, layoutOf, type View } from '../../../src/adapters/page/snapshot.ts';
import type { Snapshot } from '../../../src/adapters/page/messages.ts';
import { defaultConfig } from '../../../src/config/defaults.ts';
import { initial, step, type Config, type Stepped } from '../../../src/core/step.ts';
import { TICK_MS, type Command, type Input } from '../../../src/core/trace.ts';

const config: Config = {
  ...defaultConfig(),
  inputs: ['frontShut', 'stopLoop', 'actuatorPower'],
  battery: { lowVolts: 11.5, staleMs: 5000 },
  keepAliveProved: true,
};

/** A race driven by hand: the core, and the page's view of it. */
class Race {
  readonly view: View = createView(config, false);
  #last: Stepped = {
    ...step(config, initial(config), { t: 0, tick: true }),
  };
  t = 0;
  kg = 0;

  give(input: Input): void {
    this.#last = step(config, this.#last.state, input);
    this.view.follow(this.#last.events, this.t);
  }

  input(name: string, on: boolean): void {
    this.give({ t: this.t, input: name, on });
  }

  command(command: Command): void {
    this.give({ t: this.t, command });
  }

  /** Lets time pass with ten readings a second. */
  pass(ms: number): void {
    for (const end = this.t + ms; this.t < end;) {
      this.t += TICK_MS;
      if (this.t % 100 === 0) this.give({ t: this.t, kg: this.kg });
      if (this.t % 1000 === 0) this.give({ t: this.t, volts: 12.34 });
      this.give({ t: this.t, tick: true });
    }
  }

  see(): Snapshot {
    return this.view.snapshot(this.#last, this.t, { doseMl: null, sessionRev: 1, asks: [] });
  }

  /** Passes time until the page shows what is wanted. */
  until(what: string, wanted: (now: Snapshot) => boolean, mostMs = 20_000): Snapshot {
    for (let waited = 0; waited < mostMs; waited += TICK_MS) {
      const now = this.see();
      if (wanted(now)) return now;
      this.pass(TICK_MS);
    }
    throw new Error(`${what} never came; last: ${JSON.stringify(this.see())}`);
  }
}

function fitted(): Race {
  const race = new Race();
  for (const name of ['frontShut', 'stopLoop', 'actuatorPower']) race.input(name, true);
  race.pass(4000);
  return race;
}

function started(): Race {
  const race = fitted();
  race.command({ do: 'start' });
  race.command({ do: 'confirm', what: 'lane' });
  race.until('running', ({ mode }) => mode === 'running');
  return race;
}

describe('the layout', () => {
  test('has exits from left to right, lots in the plan’s order, and a new id when it changes', () => {
    const layout = layoutOf(config, 1, true);
    expect(layout.exits.map(({ exit }) => exit)).toEqual(['left', 'ahead', 'right']);
    expect(layoutOf(config, 1, true, { left: 'road side' }).exits[0]).toMatchObject({
      said: 'road side',
    });
    // The lamp counts exits as the gate profile has them, however they lie.
    const places = Object.keys(config.gate.exits);
    expect(layout.exits.map(({ exit, flashes }) => places[flashes - 1] === exit)).toEqual([
      true,
      true,
      true,
    ]);
    expect(layout.lots.map(({ name }) => name)).toEqual(config.plan.lots.map(({ name }) => name));
    const view = createView(config, true);
    const before = view.layout.id;
    view.reconfigure({ ...config, plan: { ...config.plan, name: 'Other' } });
    expect(view.layout).toMatchObject({ plan: 'Other' });
    expect(view.layout.id).not.toBe(before);
  });
});

describe('the snapshot', () => {
  test('stopped and empty, then numbered upwards', () => {
    const race = fitted();
    expect(race.see()).toMatchObject({
      mode: 'stopped',
      weight: { kg: 0, state: 'empty' },
      animal: null,
      letGo: null,
      standsAt: null,
      volts: 12.3,
      batteryLow: false,
      links: { scale: true },
    });
    expect(race.see().seq).toBe(race.see().seq - 1);
  });

  test('an animal from coming on to gone: weighed, decided, leaves moving, let go, counted', () => {
    const race = started();
    race.kg = 42;
    race.until('an animal', ({ animal }) => animal?.number === 1);
    const good = race.until('a good weight', ({ weight }) => weight.state === 'good');
    expect(good.weight.kg).toBeCloseTo(42, 1);
    const lot = config.plan.lots.find(({ belowKg }) => belowKg === undefined || belowKg > 42);
    expect(good.decision).toMatchObject({ lot: lot?.name, exit: lot?.exit });
    const ready = race.until('let go', ({ letGo }) => letGo !== null);
    expect(ready.letGo).toBe(lot?.exit);
    expect(ready.standsAt).toBe(lot?.exit);
    expect(ready.waits).toEqual([]);
    race.input('frontShut', false);
    race.pass(300);
    expect(race.see().letGo).toBeNull();
    expect(race.see().weight.state).toBe('leaving');
    race.kg = 0;
    race.pass(1500);
    race.input('frontShut', true);
    race.pass(1000);
    const gone = race.see();
    expect(gone.animal).toBeNull();
    expect(gone.head.reduce((sum, head) => sum + head, 0)).toBe(1);
    expect(gone.last).toHaveLength(1);
    expect(gone.last[0]).toMatchObject({ animal: 1, lot: lot?.name, exit: lot?.exit });
    expect(gone.last[0]?.kg).toBeCloseTo(42, 1);
  });

  test('leaves are shown as they are driven', () => {
    const race = fitted();
    race.command({ do: 'start' });
    race.command({ do: 'confirm', what: 'lane' });
    const moving = race.until('a stroke', ({ leaves }) =>
      leaves.some((leaf) => leaf.moving !== null),
    );
    expect(moving.mode).toBe('homing');
    expect(moving.standsAt).toBeNull();
  });

  test('a weigh head gone silent: no figure, and the link is down', () => {
    const race = started();
    for (let n = 0; n < 300; n++) {
      race.t += TICK_MS;
      race.give({ t: race.t, tick: true });
    }
    const now = race.see();
    expect(now.weight).toMatchObject({ kg: null, u95Kg: null, state: 'none' });
    expect(now.links.scale).toBe(false);
    expect(now.faults.map(({ name }) => name)).toContain('scale-lost');
  });

  test('a fault: its name, and that it can be cleared once its cause is gone', () => {
    const race = started();
    race.input('stopLoop', false);
    race.pass(200);
    expect(race.see()).toMatchObject({ mode: 'fault', asks: [] });
    expect(race.see().faults.map(({ name }) => name)).toContain('stop-pressed');
    race.input('stopLoop', true);
    race.pass(1000);
    expect(race.see().asks).toEqual(['clear']);
  });

  test('a refused command is said for six seconds', () => {
    const race = started();
    race.command({ do: 'exit', exit: 'left', animal: 99 });
    race.pass(TICK_MS);
    expect(race.see().refused).toMatch(/99/);
    race.pass(6000);
    expect(race.see().refused).toBeNull();
  });
});
