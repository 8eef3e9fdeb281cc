import { z } from 'zod';
import { between, milliseconds } from './values.ts';

const uuid = z
  .string()
  .regex(
    /^(?:[0-9A-Fa-f]{4}|[0-9A-Fa-f]{8}(?:-[0-9A-Fa-f]{4}){3}-[0-9A-Fa-f]{12})$/,
    '{} is no UUID\nWrite four hex digits, or all 32 with their dashes',
  );

/** `scale.bluetooth` of `site.yaml`: a weigh head over Bluetooth Low Energy. */
export const bluetoothScale = z
  .strictObject({
    name: z.string().min(1).max(60).optional().describe('As the head calls itself'),
    address: z
      .string()
      .regex(
        /^[0-9A-Fa-f]{2}(?::[0-9A-Fa-f]{2}){5}$/,
        '{} is no Bluetooth address\nWrite such as 00:11:22:AA:BB:CC',
      )
      .optional()
      .describe('Its address; surer than its name'),
    adapter: between(0, 15, '').int().default(0).describe("This machine's adapter: 0 is hci0"),
    silenceMs: milliseconds(500, 60_000)
      .default(3000)
      .describe('No measurement for so long: the link is down. A stream goes by its profile'),
    stream: z
      .strictObject({ service: uuid, notify: uuid, write: uuid.optional() })
      .optional()
      .describe('Bytes that the scale profile reads, instead of the Weight Scale Service'),
  })
  .describe('Instead of port: over Bluetooth Low Energy');

export type BluetoothScale = z.output<typeof bluetoothScale>;
