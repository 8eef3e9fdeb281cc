/** The battery at rest and under load, told apart by what moves. */
import { expect, test } from 'vitest';
import { Bench, configOf, gateOf, LEAF } from './gate-bench.ts';

const GATE = gateOf(LEAF);
const ALL = ['frontShut', 'stopLoop', 'actuatorPower', 'laneClear'];

const battery = { lowVolts: 11.8, loadVolts: 10.8, warnVolts: 12, staleMs: 60_000 };
const fitted = (): Bench => new Bench(configOf(GATE, { battery }), ALL);
const waits = (b: Bench): boolean => {
  return b.ask({ mode: 'running', exit: null }).result.waits.includes('battery');
};

/** A leaf moves now. */
function moving(): Bench {
  const b = fitted().give({ t: 0, volts: 12.5 }).start().wait(1500);
  b.give({ t: b.t, volts: 12.5 }).ask({ mode: 'running', exit: 'left' }).wait(400);
  expect(b.on()).not.toEqual([]);
  return b;
}

test('the sag of a leaf that moves is no low battery', () => {
  const b = moving();
  b.give({ t: b.t, volts: 11.2 });
  expect(b.faults()).not.toContain('battery-low');
});

test('a sag below its own limit holds, also after the voltage has come back, until the next start', () => {
  const b = moving();
  b.give({ t: b.t, volts: 10.79 });
  expect(b.faults()).toContain('battery-low');
  b.wait(3000).give({ t: b.t, volts: 12.4 });
  expect(waits(b)).toBe(true);
  b.ask({ mode: 'stopped' }).ask({ mode: 'running', started: true });
  expect(b.faults()).not.toContain('battery-low');
});

test('what is read within a second of a stroke is neither rest nor load', () => {
  const b = moving();
  b.ask({ mode: 'running', exit: null }).wait(3000);
  expect(b.on()).toEqual([]);
  b.give({ t: b.t, volts: 12.5 });
  const before = b.state.supply.restVolts;
  const again = moving();
  again.wait(1200);
  again.give({ t: again.t, volts: 11.7 });
  expect([before, again.state.supply.restVolts]).toEqual([12.5, 12.5]);
  expect(again.faults()).not.toContain('battery-low');
});

test('at rest it warns first and then holds', () => {
  const b = fitted().wait(1500);
  const said = (volts: number): string[] =>
    b
      .give({ t: b.t, volts })
      .ask({ mode: 'running' })
      .faults()
      .filter((f) => f.startsWith('battery'));
  expect(said(12)).toEqual([]);
  expect(said(11.99)).toEqual(['battery-weak']);
  expect(said(11.8)).toEqual(['battery-weak']);
  expect(said(11.79)).toEqual(['battery-low']);
  expect(said(12.6)).toEqual([]);
});

test('the day book hears of it at the first voltage at rest and then every ten minutes', () => {
  const b = fitted().wait(1500);
  const told = (): unknown[] => b.events.filter(({ kind }) => kind === 'battery');
  b.give({ t: b.t, volts: 12.5 });
  expect(told()).toEqual([{ kind: 'battery', restVolts: 12.5, movingVolts: null }]);
  b.give({ t: b.t + 599_000, volts: 12.4 });
  expect(told()).toHaveLength(1);
  b.give({ t: b.t + 601_000, volts: 12.3 });
  expect(told()).toHaveLength(2);
});

test('what is read a whole second after a stroke is at rest', () => {
  const b = moving();
  while (b.on().length > 0) b.wait(20);
  b.wait(980).give({ t: b.t, volts: 12.2 });
  expect(b.state.supply.restVolts).toBe(12.5);
  b.wait(20).give({ t: b.t, volts: 12.1 });
  expect(b.state.supply.restVolts).toBe(12.1);
});

test('so deep a sag is low also while it recovers from a stroke', () => {
  const b = moving();
  b.wait(1200).give({ t: b.t, volts: 10.79 });
  expect([b.on(), b.state.supply.restVolts]).toEqual([[], 12.5]);
  expect(b.faults()).toContain('battery-low');
});

test('under load it is low below its limit, not at it; with no such limit it is at rest that counts', () => {
  const low = (config: typeof battery | Omit<typeof battery, 'loadVolts'>, volts: number) => {
    const b = new Bench(configOf(GATE, { battery: config }), ALL).give({ t: 0, volts: 12.5 });
    b.start().wait(1500).give({ t: b.t, volts: 12.5 }).ask({ mode: 'running', exit: 'left' });
    b.wait(400).give({ t: b.t, volts }).wait(3000).give({ t: b.t, volts: 12.4 });
    return b.faults().includes('battery-low');
  };
  const { lowVolts, warnVolts, staleMs } = battery;
  expect([low(battery, 10.8), low(battery, 10.79)]).toEqual([false, true]);
  expect(low({ lowVolts, warnVolts, staleMs }, 11.7)).toBe(false);
});

test('a first reading under load says nothing of the voltage at rest', () => {
  const free = new Bench(configOf(GATE, { battery: null }), ALL).start().wait(1500);
  free.ask({ mode: 'running', exit: 'left' }).wait(400);
  const b = fitted();
  b.state = { ...free.state, supply: { ...b.state.supply } };
  b.t = free.t;
  b.request = { ...b.request, mode: 'running', exit: 'left' };
  b.give({ t: b.t, volts: 12.5 });
  expect(b.state.supply).toMatchObject({ restVolts: null, movingVolts: 12.5 });
  expect(b.faults().filter((fault) => fault.startsWith('battery'))).toEqual([]);
  expect(b.events.filter(({ kind }) => kind === 'battery')).toEqual([]);
});

test('the day book hears of it only with a reading, after ten minutes to the millisecond', () => {
  const b = fitted().wait(1500);
  const told = (): number => b.events.filter(({ kind }) => kind === 'battery').length;
  b.give({ t: b.t, volts: 12.5 });
  b.give({ t: b.t + 600_000, tick: true });
  expect(told()).toBe(1);
  b.give({ t: b.t + 600_000, volts: 12.4 });
  expect(told()).toBe(2);
});
