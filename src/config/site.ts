import { z } from 'zod';
import { OFF_LABEL } from '../core/sortplan/withdrawal.ts';
import { bluetoothScale } from './bluetooth.ts';
import { checkCrate, emptyKg, loadingKg } from './crates.ts';
import type { Finding } from './issues.ts';
import { nearest } from './nearest.ts';
import { between, milliseconds } from './values.ts';

const fileName = z
  .string()
  .regex(
    /^[A-Za-z0-9][A-Za-z0-9._-]{0,59}$/,
    '{} must be the name of a file without its folder and without .yaml\nWrite such as three-way',
  );

const zone = z.string().refine(isZone, {
  error: ({ input }) => {
    const near = nearest(String(input), Intl.supportedValuesOf('timeZone'));
    const remedy = near === null ? 'Write such as Europe/London' : `Did you mean "${near}"?`;
    return `"${String(input)}" is not a time zone\n${remedy}`;
  },
});

function isZone(text: string): boolean {
  if (!/^(UTC|[A-Za-z]+\/[A-Za-z0-9_+/-]+)$/.test(text)) return false;
  try {
    new Intl.DateTimeFormat('en', { timeZone: text });
    return true;
  } catch {
    return false;
  }
}

const day = z
  .string()
  .regex(/^\d{4}-\d{2}-\d{2}$/, '{} is no day\nWrite it as year-month-day, or false')
  .refine((text) => !Number.isNaN(Date.parse(`${text}T00:00:00Z`)), {
    error: '{} is no day of the calendar\nWrite it as year-month-day, or false',
  });

const port = z
  .string()
  .startsWith('/', '{} must be the path of a port\nWrite such as /dev/serial/by-id/usb-...');

/** `site.yaml`: what is true of this one yard. */
export const siteSchema = z.strictObject({
  site: z.literal(1),
  zone: zone.describe('IANA time zone: the day that a record belongs to'),
  plan: fileName.describe('The active sort plan: plans/<plan>.yaml'),
  profiles: z.strictObject({
    scale: fileName,
    board: fileName,
    gate: fileName,
    crate: fileName,
    reader: fileName.optional(),
  }),
  scale: z
    .strictObject({
      port: port
        .optional()
        .describe('The by-id path, which stays the same when it is plugged anew'),
      bluetooth: bluetoothScale.optional(),
      divisionKg: between(0.05, 1, 'kg').default(0.1).describe('Division d of the weigh head'),
      rateHz: between(1, 50, 'readings a second').default(10),
      maxKg: between(20, 1000, 'kg').default(200).describe('Greatest load of the weigh head'),
    })
    .prefault({}),
  reader: z.strictObject({ port: port.optional() }).prefault({}),
  board: z.strictObject({ port: port.optional().describe('Of a Modbus board') }).prefault({}),
  page: z
    .strictObject({
      host: z.string().min(1).default('0.0.0.0'),
      port: between(0, 65_535, '').int().default(8080),
      openLooking: z.boolean().default(true).describe('Looking needs no PIN on the local network'),
    })
    .prefault({}),
  exitWords: z
    .record(z.string(), z.string().min(1).max(30))
    .default({})
    .describe("The yard's own words for the exits"),
  markButtons: z
    .record(
      z
        .string()
        .regex(/^[A-Za-z][A-Za-z0-9-]{0,19}$/, '{} is no name for a button\nWrite such as a'),
      z.strictObject({
        mark: z.string().min(1).max(20),
        value: z.union([z.string(), z.number()]).optional(),
      }),
    )
    .default({})
    .describe('Wired buttons for marks: the input markButton.<name> of the board gives this mark'),
  crate: z
    .strictObject({ loadingKg: loadingKg.optional(), emptyKg: emptyKg.optional() })
    .prefault({})
    .describe('Instead of what the crate profile says'),
  keepAliveProved: z
    .union([z.literal(false), day])
    .default(false)
    .describe('Day on which it was proved that the actuators drop out, or false'),
  offLabel: z
    .strictObject({
      factor: between(1, 10, '').default(OFF_LABEL.factor),
      leastDays: between(0, 365, 'days').int().default(OFF_LABEL.leastDays),
      notForFoodDays: between(0, 365, 'days').int().default(OFF_LABEL.notForFoodDays),
      source: z.string().min(1).max(200).default(OFF_LABEL.source),
    })
    .prefault({})
    .describe('Withdrawal of medicines used off the label: label, vet and local law decide'),
  battery: z
    .strictObject({
      lowVolts: between(9, 30, 'V')
        .default(11.8)
        .describe('At rest: below it this animal is finished and no leaf moves by itself'),
      loadVolts: between(8, 30, 'V').default(10.8).describe('The same while a leaf moves'),
      warnVolts: between(9, 30, 'V').default(12).describe('At rest: below it it is said'),
      staleMs: milliseconds(1000, 600_000).default(10_000),
    })
    .prefault({}),
});

/** A site as it is written, with its defaults filled in. */
export type Site = z.output<typeof siteSchema>;

/** Faults of the site file alone. */
export function checkSite(site: Site): Finding[] {
  return [...checkBluetooth(site), ...checkOverrides(site), ...checkBattery(site)];
}

function checkBluetooth({ scale: { port: path, bluetooth } }: Site): Finding[] {
  if (bluetooth === undefined) return [];
  const found: Finding[] = [];
  const say = (message: string, remedy: string): void => {
    found.push({ path: ['scale', 'bluetooth'], at: 'key', message, remedy });
  };
  if (path !== undefined) say('the weigh head has a port and Bluetooth', 'Keep one of the two');
  if (bluetooth.name === undefined && bluetooth.address === undefined)
    say(
      'which weigh head is meant is not said',
      'Add its name or its address, so that no other scale near is taken for it',
    );
  return found;
}

function checkBattery({ battery: { lowVolts, loadVolts, warnVolts } }: Site): Finding[] {
  const fault = (key: string, message: string, remedy: string): Finding => {
    return { path: ['battery', key], at: 'value', message, remedy };
  };
  const found: Finding[] = [];
  if (loadVolts > lowVolts)
    found.push(
      fault('loadVolts', 'a leaf that moves pulls the voltage down', 'Write less than lowVolts'),
    );
  if (warnVolts < lowVolts)
    found.push(fault('warnVolts', 'the warning would come too late', 'Write more than lowVolts'));
  return found;
}

function checkOverrides(site: Site): Finding[] {
  const { loadingKg: loading, emptyKg: empty } = site.crate;
  if (loading === undefined || empty === undefined) return [];
  return checkCrate({ loadingKg: loading, emptyKg: empty }).map((finding) => ({
    ...finding,
    path: ['crate', ...finding.path],
  }));
}

/** Things that work today and will trip somebody tomorrow. */
export function siteWarnings(site: Site): Finding[] {
  return (['scale', 'reader', 'board'] as const).flatMap((part): Finding[] => {
    const path = site[part].port;
    if (path === undefined || !/^\/dev\/tty(USB|ACM)\d+$/.test(path)) return [];
    return [
      {
        path: [part, 'port'],
        at: 'value',
        message: `${path} can be another device after the next plugging in`,
        remedy: 'Use its name in /dev/serial/by-id (or by-path)',
      },
    ];
  });
}

export function siteJsonSchema(): object {
  return z.toJSONSchema(siteSchema, { io: 'input', target: 'draft-7' });
}
