/**
 * A Bluetooth adapter through noble's layer for the kernel's HCI sockets, on the user channel: the
 * adapter is Fank's alone. On the raw channel noble's socket connects with a call that stops the whole
 * program until the device answers, up to 40 s. Loaded only where Bluetooth is used.
 */
import type { EventEmitter } from 'node:events';
import { closeSync, readdirSync, readlinkSync } from 'node:fs';
import { createRequire } from 'node:module';
import koffi from 'koffi';
import { answer } from './answer.ts';

/** What an advertisement says. UUIDs in lower case without dashes. */
export interface Advertisement {
  localName?: string;
  serviceUuids?: string[];
}

/** noble's layer under its objects: commands, whose ends come as events of an emitter. */
export interface Bindings extends EventEmitter {
  startScanning: (services: string[], duplicates: boolean) => void;
  stopScanning: () => void;
  connect: (id: string) => void;
  cancelConnect: (id: string) => void;
  disconnect: (id: string) => void;
  discoverServices: (id: string, services: string[]) => void;
  discoverCharacteristics: (id: string, service: string, wanted: string[]) => void;
  notify: (id: string, service: string, characteristic: string, on: boolean) => void;
  write: (id: string, service: string, to: string, bytes: Buffer, unanswered: boolean) => void;
}

export interface Radio {
  bindings: Bindings;
  /** Ends every connection and scan by starting the controller anew. */
  reset: () => Promise<void>;
}

/** What is used of noble 1.9.2-26 inside, where it needs help. */
interface NobleHci {
  _userChannel: unknown;
  _socket: EventEmitter & { stop: () => void };
  _aclQueue: { handle: number }[];
  _aclConnections: Map<number, unknown>;
  onSocketData: (data: Buffer) => void;
  flushAcl: () => Promise<void>;
  readLeBufferSize: () => void;
  reset: () => void;
}
interface NobleBindings extends Bindings {
  _hci: NobleHci;
  _gap: { _discoveries: object };
  _aclStreams: Record<string, unknown>;
  _pendingConnectionUuid: string | null;
  _connectionQueue: unknown[];
  onSigIntBinded: () => void;
  onDisconnComplete: (handle: number, reason: number) => void;
  init: () => void;
}
type NobleClass = new (options: { deviceId: number }) => NobleBindings;

const SUPERVISION_TIMEOUT = 0x08;
const radios = new Map<number, Promise<Radio>>();

/**
 * The adapter `hci<number>`, opened once and kept. Rejects with words for people where there is no
 * Bluetooth, no such adapter, no right to it or no answer from it.
 */
export function openRadio(number: number): Promise<Radio> {
  const known = radios.get(number);
  if (known !== undefined) return known;
  const opening = open(number);
  radios.set(number, opening);
  opening.catch(() => radios.delete(number));
  return opening;
}

async function open(number: number): Promise<Radio> {
  let socket: number | null = null;
  let bindings: NobleBindings | null = null;
  const shut = (): void => {
    bindings?._hci._socket.stop();
    // noble's socket has no close of its own, and an adapter is held until its socket is closed.
    if (socket !== null) closeSync(socket);
    socket = null;
    radios.delete(number);
  };
  try {
    const require = createRequire(import.meta.url);
    const Noble = require('@abandonware/noble/lib/hci-socket/bindings') as NobleClass;
    const before = sockets();
    bindings = helped(new Noble({ deviceId: number }));
    socket = sockets().find((fd) => !before.includes(fd)) ?? null;
    if (socket !== null) takeDown(socket, number);
    const on = answer(bindings, 'stateChange', (state) => state === 'poweredOn');
    start(bindings);
    await on;
    // Without it nothing is ever sent on the user channel: noble asks for it on the raw one only.
    bindings._hci.readLeBufferSize();
    return radioOf(bindings, shut);
  } catch (error) {
    shut();
    throw new Error(trouble(number, error), { cause: error });
  }
}

/** Numbers of this process's open sockets. */
function sockets(): number[] {
  const folder = '/proc/self/fd';
  return readdirSync(folder)
    .filter((fd) => targetOf(`${folder}/${fd}`).startsWith('socket:'))
    .map(Number);
}

function targetOf(link: string): string {
  try {
    return readlinkSync(link);
  } catch {
    return '';
  }
}

/** noble with its mistakes that would end or hang the program put right. */
function helped(bindings: NobleBindings): NobleBindings {
  const hci = bindings._hci;
  hci._userChannel = true;
  const [data, flush] = [hci.onSocketData.bind(hci), hci.flushAcl.bind(hci)];
  // A packet that is too short throws out of the socket's own callback.
  hci.onSocketData = (bytes) => {
    try {
      data(bytes);
    } catch {
      // As if it had never come; silence decides.
    }
  };
  // Packets for a connection that has just gone reject a promise that nobody holds.
  hci.flushAcl = async () => {
    hci._aclQueue = hci._aclQueue.filter(({ handle }) => hci._aclConnections.has(handle));
    await flush().catch(() => undefined);
  };
  return bindings;
}

/** Starts it without its handlers that end the program on SIGINT and talk to the adapter at exit. */
function start(bindings: NobleBindings): void {
  const before = new Set(process.listeners('exit'));
  bindings.init();
  process.removeListener('SIGINT', bindings.onSigIntBinded);
  for (const listener of process.listeners('exit'))
    if (!before.has(listener)) process.removeListener('exit', listener);
}

function radioOf(bindings: NobleBindings, shut: () => void): Radio {
  const hci = bindings._hci;
  return {
    bindings,
    async reset() {
      for (const handle of Object.keys(bindings._aclStreams))
        bindings.onDisconnComplete(Number(handle), SUPERVISION_TIMEOUT);
      hci._aclQueue = [];
      hci._aclConnections.clear();
      bindings._pendingConnectionUuid = null;
      bindings._connectionQueue = [];
      bindings._gap._discoveries = {};
      const done = answer(bindings, 'addressChange', () => true);
      hci.reset();
      // An adapter that no longer answers may have been unplugged: it is opened anew.
      await done.catch(shut);
    },
  };
}

/** `HCIDEVDOWN` of the kernel's `net/bluetooth/hci_sock.h`: the user channel takes a resting adapter. */
const HCIDEVDOWN = 0x400448ca;

function takeDown(fd: number, number: number): void {
  const ioctl = koffi.load(null).func('int ioctl(int fd, unsigned long request, ...)') as (
    fd: number,
    request: number,
    type: string,
    value: number,
  ) => number;
  // A refusal shows when the channel is bound, in words of its own.
  ioctl(fd, HCIDEVDOWN, 'unsigned long', number);
}

function trouble(number: number, error: unknown): string {
  const said = error instanceof Error ? error.message : String(error);
  const name = `hci${number}`;
  if (/EAFNOSUPPORT|address family/i.test(said))
    return 'This machine has no Bluetooth, or this service may not use it (AF_BLUETOOTH).';
  if (/EPERM|EACCES|not permitted/i.test(said))
    return `This user may not have ${name}: the service needs CAP_NET_ADMIN and CAP_NET_RAW.`;
  if (/ENODEV|no such device/i.test(said)) return `There is no Bluetooth adapter ${name}.`;
  if (/EBUSY|busy/i.test(said)) return `${name} is taken by another program. Stop that one.`;
  if (/no stateChange/.test(said))
    return `${name} does not answer. Is it switched off (rfkill), or unplugged?`;
  return `${name} cannot be used (${said}).`;
}
