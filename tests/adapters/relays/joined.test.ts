import { expect, test } from 'vitest';
import { joined } from '../../../src/adapters/relays/create.ts';
import type { GpioBoard } from '../../../src/adapters/relays/gpio-board.ts';
import type { ModbusBoard } from '../../../src/adapters/relays/modbus-board.ts';

type Levels = Record<string, boolean> | null;

/** A board of both kinds; each read takes the next of what its two parts show. */
function mixed(near: Levels[], far: Levels[]): () => Levels {
  const gpio: GpioBoard = {
    read: () => near.shift() ?? null,
    write: () => true,
    edge: () => undefined,
    close: () => undefined,
  };
  const modbus: ModbusBoard = {
    read: () => far.shift() ?? null,
    write: () => true,
    volts: () => null,
    close: () => Promise.resolve(),
  };
  const board = joined(gpio, modbus, null, ['stopLoop', 'frontShut']);
  return () => board.read();
}

const HEALTHY = { stopLoop: true };
const OPEN = { stopLoop: false };
const SHUT = { frontShut: true };

test('contacts of both parts are one look; none where either part has none', () => {
  const read = mixed([HEALTHY, HEALTHY, null], [SHUT, null, SHUT]);
  expect([read(), read(), read()]).toEqual([{ stopLoop: true, frontShut: true }, null, null]);
});

test('a pulse of the stop loop while the far contacts are too old is given at the next look', () => {
  const read = mixed([HEALTHY, OPEN, HEALTHY, HEALTHY, HEALTHY], [SHUT, null, null, SHUT, SHUT]);
  expect([read(), read(), read()]).toEqual([{ stopLoop: true, frontShut: true }, null, null]);
  expect(read()).toEqual({ stopLoop: false, frontShut: true });
  expect(read()).toEqual({ stopLoop: true, frontShut: true });
});
