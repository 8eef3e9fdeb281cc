/**
 * Runs inside the virtual machine as a process of its own: a weigh head over Bluetooth Low Energy on the
 * adapter `hci<argument>`, as little of one as is needed. It has the Weight Scale Service with
 * indications and a byte stream with notifications, and sends ten times a second to whoever subscribes.
 * Layouts of HCI, ATT and GATT: Bluetooth Core Specification, volumes 3 and 4.
 *
 * Lines on stdin: `silent` (stays connected and sends nothing), `speak`, `drop` (ends the connection),
 * `load KG`.
 */
import type { EventEmitter } from 'node:events';
import { createRequire } from 'node:module';
import { createInterface } from 'node:readline';
import { frame } from '../../simulator/frames.ts';
import { HEAD_NAME, STREAM } from './bluetooth-wiring.ts';

interface HciSocket extends EventEmitter {
  bindUser: (device: number) => number;
  start: () => void;
  write: (bytes: Buffer) => void;
}
const require = createRequire(import.meta.url);
const Socket = require('@abandonware/bluetooth-hci-socket') as new () => HciSocket;

const hci = new Socket();
const say = (text: string): boolean => process.stdout.write(`${text}\n`);

const short = (uuid: number): Buffer => Buffer.from([uuid & 0xff, uuid >> 8]);
const long = (uuid: string): Buffer => Buffer.from(uuid.replaceAll('-', ''), 'hex').reverse();

interface Characteristic {
  declaration: number;
  value: number;
  configuration: number | null;
  properties: number;
  uuid: Buffer;
}
interface Service {
  start: number;
  end: number;
  uuid: Buffer;
  has: Characteristic[];
}
const [INDICATE, NOTIFY, WRITE_SILENTLY] = [0x20, 0x10, 0x04];
const one = (at: number, properties: number, uuid: Buffer): Characteristic => ({
  declaration: at,
  value: at + 1,
  configuration: properties === WRITE_SILENTLY ? null : at + 2,
  properties,
  uuid,
});
const SERVICES: Service[] = [
  { start: 1, end: 4, uuid: short(0x181d), has: [one(2, INDICATE, short(0x2a9d))] },
  {
    start: 16,
    end: 21,
    uuid: long(STREAM.service),
    has: [one(17, NOTIFY, long(STREAM.notify)), one(20, WRITE_SILENTLY, long(STREAM.write))],
  },
];
const MEASUREMENT = 3;
const BYTES = 18;

let connection: number | null = null;
let confirmed = true;
let silent = false;
/** What lies on it, kg; null: it wanders from 40 to 50. */
let load: number | null = null;
let count = 0;
const subscribed = new Set<number>();

function command(opcode: number, bytes: number[] | Buffer): void {
  const data = Buffer.from(bytes);
  hci.write(Buffer.concat([Buffer.from([1, opcode & 0xff, opcode >> 8, data.length]), data]));
}

const padded = (data: Buffer): Buffer =>
  Buffer.concat([Buffer.from([data.length]), data, Buffer.alloc(31 - data.length)]);

function advertise(): void {
  const name = Buffer.from(HEAD_NAME, 'latin1');
  // 100 ms, connectable and undirected, on all three channels.
  command(0x2006, [0xa0, 0, 0xa0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 7, 0]);
  command(0x2008, padded(Buffer.from([2, 1, 6, 3, 3, 0x1d, 0x18])));
  command(0x2009, padded(Buffer.concat([Buffer.from([name.length + 1, 9]), name])));
  command(0x200a, [1]);
}

function att(bytes: Buffer): void {
  if (connection === null) return;
  const head = Buffer.alloc(9);
  head.writeUInt8(2, 0);
  head.writeUInt16LE(connection, 1);
  head.writeUInt16LE(bytes.length + 4, 3);
  head.writeUInt16LE(bytes.length, 5);
  head.writeUInt16LE(4, 7);
  hci.write(Buffer.concat([head, bytes]));
}

const none = (request: number, handle: number): Buffer =>
  Buffer.from([1, request, handle & 0xff, handle >> 8, 0x0a]);

/** Services from a handle on, of one length of UUID. */
function services(from: number): Buffer | null {
  const first = SERVICES.find((service) => service.start >= from);
  if (first === undefined) return null;
  const same = SERVICES.filter(
    (service) => service.start >= from && service.uuid.length === first.uuid.length,
  );
  const each = same.map(({ start, end, uuid }) => Buffer.concat([short(start), short(end), uuid]));
  return Buffer.concat([Buffer.from([0x11, 4 + first.uuid.length]), ...each]);
}

/** Characteristics, or their configurations, from a handle to another. */
function byType(from: number, to: number, type: number): Buffer | null {
  const all = SERVICES.flatMap((service) => service.has);
  if (type === 0x2803) {
    const found = all.find((c) => c.declaration >= from && c.declaration <= to);
    if (found === undefined) return null;
    const { declaration, properties, value, uuid } = found;
    const data = [short(declaration), Buffer.from([properties]), short(value), uuid];
    return Buffer.concat([Buffer.from([9, 5 + uuid.length]), ...data]);
  }
  const found = all.find(({ configuration: c }) => c !== null && c >= from && c <= to);
  if (type !== 0x2902 || typeof found?.configuration !== 'number') return null;
  return Buffer.concat([Buffer.from([9, 4]), short(found.configuration), short(0)]);
}

function request(data: Buffer): void {
  const [op = 0] = data;
  if (op === 0x1e) confirmed = true;
  else if (op === 0x02) att(Buffer.from([3, 0x17, 0]));
  else if (op === 0x10) att(services(data.readUInt16LE(1)) ?? none(op, data.readUInt16LE(1)));
  else if (op === 0x08) {
    const [from, to] = [data.readUInt16LE(1), data.readUInt16LE(3)];
    att((data.length === 7 ? byType(from, to, data.readUInt16LE(5)) : null) ?? none(op, from));
  } else if (op === 0x12) {
    if (data.readUInt16LE(3) !== 0) subscribed.add(data.readUInt16LE(1));
    att(Buffer.from([0x13]));
  } else if (op === 0x52) say(`asked ${data.subarray(3).toString('latin1').trim()}`);
  else if (op % 2 === 0 && op !== 0x1e) att(none(op, 0));
}

hci.on('data', (data: Buffer) => {
  if (data[0] === 2 && data.readUInt16LE(7) === 4) request(data.subarray(9));
  if (data[0] !== 4) return;
  if (data[1] === 0x0e && data.readUInt16LE(4) === 0x0c03) advertise();
  // Connected, by the old event or by the enhanced one.
  if (data[1] === 0x3e && (data[3] === 1 || data[3] === 0x0a) && data[4] === 0) {
    connection = data.readUInt16LE(5) & 0x0fff;
    confirmed = true;
    say('connected');
  }
  if (data[1] === 0x05) {
    connection = null;
    subscribed.clear();
    say('disconnected');
    advertise();
  }
});

setInterval(() => {
  if (silent || connection === null) return;
  count += 1;
  const kg = load ?? 40 + (count % 100) / 10;
  if (subscribed.has(MEASUREMENT + 1) && confirmed) {
    confirmed = false;
    const weight = short(Math.round(kg / 0.005));
    att(Buffer.concat([Buffer.from([0x1d]), short(MEASUREMENT), Buffer.from([0]), weight]));
  }
  if (!subscribed.has(BYTES + 1)) return;
  // As modules with a serial profile do: a line in pieces that end anywhere.
  const line = frame(kg, false);
  for (const part of [line.slice(0, 7), line.slice(7)])
    att(Buffer.concat([Buffer.from([0x1b]), short(BYTES), Buffer.from(part, 'latin1')]));
}, 100);

createInterface({ input: process.stdin }).on('line', (line) => {
  if (line === 'silent') silent = true;
  if (line === 'speak') silent = false;
  if (line.startsWith('load ')) load = Number(line.slice(5));
  if (line === 'drop' && connection !== null)
    command(0x0406, [connection & 0xff, connection >> 8, 0x13]);
});

hci.bindUser(Number(process.argv[2]));
hci.start();
command(0x0c03, []);
command(0x0c01, Buffer.from('fffffbff07f8bf3d', 'hex'));
command(0x2001, Buffer.from('1f00000000000000', 'hex'));
say('ready');
