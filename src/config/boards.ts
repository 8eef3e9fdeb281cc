import { z } from 'zod';
import { about, between, milliseconds, title } from './values.ts';

const pinName = z
  .string()
  .regex(
    /^[A-Za-z][A-Za-z0-9-]{0,19}(\.[A-Za-z][A-Za-z0-9-]{0,19})?$/,
    '{} is no name for an input or output\nWrite such as frontShut or leafA.extend',
  );

const gpioLine = between(0, 63, '').int().describe('Number of the line on its chip: GPIO17 is 17');
const address = between(0, 65_535, '').int();

const output = z.union([
  z.strictObject({
    gpio: gpioLine,
    active: z.enum(['high', 'low']).default('high').describe('The level that switches it on'),
    bias: z.enum(['none', 'pull-up', 'pull-down']).default('none'),
    drive: z.enum(['push-pull', 'open-drain', 'open-source']).default('push-pull'),
  }),
  z.strictObject({ coil: address.describe('Modbus coil, counted from 0') }),
]);

const input = z.union([
  z.strictObject({
    gpio: gpioLine,
    active: z.enum(['high', 'low']).default('high').describe('The level that means on'),
    bias: z.enum(['none', 'pull-up', 'pull-down']).default('none'),
    externalPull: z
      .boolean()
      .optional()
      .describe('A resistor of the board or the wiring pulls the loose wire to off'),
  }),
  z.strictObject({
    discrete: address.describe('Modbus discrete input, counted from 0'),
    active: z.enum(['high', 'low']).default('high'),
  }),
]);

const volts = z.union([
  z.strictObject({
    file: z.string().min(1).describe('A file of the kernel that holds the converter’s count'),
    voltsPerCount: between(0.000_001, 10, 'V'),
  }),
  z.strictObject({
    register: address.describe('Modbus input register, counted from 0'),
    voltsPerCount: between(0.000_001, 10, 'V'),
  }),
]);

const gpio = z.strictObject({
  chip: z.string().min(1).describe('Label of the chip, as gpiodetect shows it in brackets'),
  buffered: z
    .boolean()
    .describe('A buffer with an enable stands between the lines and the relay board'),
});

const modbus = z.strictObject({
  baud: between(1200, 115_200, 'bits a second').int().default(38_400),
  framing: z
    .string()
    .regex(/^8[NEO][12]$/, '{} is no framing\nWrite data bits, parity, stop bits: 8N1')
    .default('8N1'),
  unit: between(1, 247, '').int().default(1).describe('The board’s address on the bus'),
  timeoutMs: milliseconds(10, 1000).default(100),
  watchdog: z
    .strictObject({ register: address, value: between(0, 65_535, '').int() })
    .optional()
    .describe('Holding register that switches all off when the bus falls silent, and its setting'),
});

const simulated = z.strictObject({
  kind: z.literal('board'),
  name: title,
  about,
  type: z.literal('simulated'),
  inputs: z.array(pinName).describe('Contacts that the simulated race has'),
  volts: z.boolean().default(false).describe('The simulated battery is read'),
});

const wired = z.strictObject({
  kind: z.literal('board'),
  name: title,
  about,
  type: z.literal('wired'),
  gpio: gpio.optional(),
  modbus: modbus.optional(),
  outputs: z.record(pinName, output).describe('Coils follow on one another without a gap'),
  inputs: z.record(pinName, input).describe('So do discrete inputs'),
  volts: volts.optional().describe('Where the battery’s voltage is read'),
});

/** A board profile: which output and input name is on which line or address. */
export const boardSchema = z.discriminatedUnion('type', [simulated, wired]);

export type BoardProfile = z.output<typeof boardSchema>;
export type WiredBoard = z.output<typeof wired>;
export type OutputPin = z.output<typeof output>;
export type InputPin = z.output<typeof input>;

/** Names of the inputs that a board has. */
export function boardInputs(board: BoardProfile): string[] {
  return board.type === 'simulated' ? board.inputs : Object.keys(board.inputs);
}
