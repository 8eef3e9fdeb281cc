/**
 * Lines of a GPIO chip through the kernel's character device, uAPI version 2. Layouts and numbers are
 * those of `include/uapi/linux/gpio.h`; they are the same on x64, arm64 and armhf.
 */
import { closeSync, openSync, readdirSync, readSync, realpathSync } from 'node:fs';
import { join } from 'node:path';
import koffi from 'koffi';

/** What a line is asked to be; `on` is its first level, set together with its direction. */
export interface LineWish {
  offset: number;
  direction: 'input' | 'output';
  active: 'high' | 'low';
  bias: 'none' | 'pull-up' | 'pull-down';
  drive?: 'push-pull' | 'open-drain' | 'open-source';
  /** Outputs only; logical, so that `active: low` drives the wire low for true. */
  on?: boolean;
  /** Inputs only: the kernel keeps every edge until it is asked for. */
  edges?: boolean;
}

/** A change of level that the kernel saw; `on` is the level after it, logical. */
export interface Edge {
  offset: number;
  on: boolean;
}

/** Lines held together: read by one call, written by one call, in the order they were asked for. */
export interface Lines {
  read(): boolean[];
  /** Lines given as null keep their level. */
  write(levels: (boolean | null)[]): void;
  /** Edges since the last call, oldest first; never waits. */
  edges(): Edge[];
  close(): void;
}

export interface LineInfo {
  used: boolean;
  consumer: string;
  output: boolean;
}

/** An ioctl that the kernel refused, by its errno's name. */
export class LineError extends Error {
  readonly code: string;
  constructor(call: string, code: string) {
    super(`${call}: ${code}`);
    this.code = code;
  }
}

const SIZE = { chip: 68, info: 256, config: 272, request: 592, values: 16, edge: 48 } as const;
const ATTRIBUTES = 10;
const FIRST_ATTRIBUTE = 32;
const ATTRIBUTE = { size: 24, flags: 1, values: 2 } as const;
const RISING = 1;

const FLAG = {
  used: 1n,
  activeLow: 2n,
  input: 4n,
  output: 8n,
  rising: 16n,
  falling: 32n,
  openDrain: 64n,
  openSource: 128n,
  pullUp: 256n,
  pullDown: 512n,
  noBias: 1024n,
} as const;

/** Numbers of the ioctls: direction, size of what they point at, 0xB4, number. */
export const IOCTL = {
  chipInfo: code(2, 0x01, SIZE.chip),
  lineInfo: code(3, 0x05, SIZE.info),
  getLines: code(3, 0x07, SIZE.request),
  getValues: code(3, 0x0e, SIZE.values),
  setValues: code(3, 0x0f, SIZE.values),
} as const;

function code(direction: number, number: number, size: number): number {
  return ((direction << 30) | (size << 16) | (0xb4 << 8) | number) >>> 0;
}

type Call = (fd: number, request: number, type: string, value: Uint8Array | number) => number;

const libc = koffi.load(null);
const ioctl = libc.func('int ioctl(int fd, unsigned long request, ...)') as Call;
const fcntl = libc.func('int fcntl(int fd, int command, ...)') as Call;
const F_SETFL = 4;
const O_NONBLOCK = 0x800;

function ask(call: string, fd: number, request: number, value: Buffer): void {
  if (ioctl(fd, request, 'void *', value) >= 0) return;
  const errno = koffi.errno();
  const named = Object.entries(koffi.os.errno).find(([, number]) => number === errno);
  throw new LineError(call, named?.[0] ?? `errno ${errno}`);
}

function text(bytes: Buffer, from: number): string {
  return bytes.toString('utf8', from, from + 32).replace(/\0.*$/s, '');
}

/** One GPIO chip, open. */
export class Chip {
  readonly path: string;
  readonly label: string;
  readonly lines: number;
  readonly #fd: number;

  /** @throws the system's error where the device is not there or not allowed. */
  constructor(path: string) {
    this.path = path;
    this.#fd = openSync(path, 'r+');
    const info = Buffer.alloc(SIZE.chip);
    ask('GPIO_GET_CHIPINFO', this.#fd, IOCTL.chipInfo, info);
    this.label = text(info, 32);
    this.lines = info.readUInt32LE(64);
  }

  info(offset: number): LineInfo {
    const info = Buffer.alloc(SIZE.info);
    info.writeUInt32LE(offset, 64);
    ask('GPIO_V2_GET_LINEINFO', this.#fd, IOCTL.lineInfo, info);
    const flags = info.readBigUInt64LE(72);
    return {
      used: (flags & FLAG.used) !== 0n,
      consumer: text(info, 32),
      output: (flags & FLAG.output) !== 0n,
    };
  }

  /** @throws LineError: EBUSY where a line is held by another program, EINVAL where it has none. */
  request(consumer: string, wishes: LineWish[]): Lines {
    const request = requestBytes(consumer, wishes);
    ask('GPIO_V2_GET_LINE', this.#fd, IOCTL.getLines, request);
    const offsets = wishes.map((wish) => wish.offset);
    return new HeldLines(request.readInt32LE(588), offsets);
  }

  close(): void {
    closeSync(this.#fd);
  }
}

/** Device paths of all GPIO chips, each once: some systems give one chip a second name. */
export function chipPaths(folder = '/dev'): string[] {
  const names = readdirSync(folder).filter((name) => /^gpiochip\d+$/.test(name));
  return [...new Set(names.map((name) => realpathSync(join(folder, name))))].sort();
}

/** The bytes of `struct gpio_v2_line_request` for these lines. */
export function requestBytes(consumer: string, wishes: LineWish[]): Buffer {
  const bytes = Buffer.alloc(SIZE.request);
  wishes.forEach((wish, i) => bytes.writeUInt32LE(wish.offset, i * 4));
  bytes.write(consumer.slice(0, 31), 256);
  const config = bytes.subarray(288, 288 + SIZE.config);
  const groups = new Map<bigint, bigint>();
  let values = 0n;
  wishes.forEach((wish, i) => {
    const flags = flagsOf(wish);
    groups.set(flags, (groups.get(flags) ?? 0n) | bit(i));
    if (wish.on === true) values |= bit(i);
  });
  const attributes = [...groups].map(([flags, mask]) => ({ id: ATTRIBUTE.flags, of: flags, mask }));
  const outputs = wishes.reduce((m, w, i) => (w.direction === 'output' ? m | bit(i) : m), 0n);
  const all = [
    ...attributes,
    ...(outputs === 0n ? [] : [{ id: ATTRIBUTE.values, of: values, mask: outputs }]),
  ];
  if (all.length > ATTRIBUTES) {
    throw new Error(
      'the lines are set up in too many different ways. Give them the same bias and drive.',
    );
  }
  config.writeUInt32LE(all.length, 8);
  all.forEach(({ id, of, mask }, i) => {
    const at = FIRST_ATTRIBUTE + i * ATTRIBUTE.size;
    config.writeUInt32LE(id, at);
    config.writeBigUInt64LE(of, at + 8);
    config.writeBigUInt64LE(mask, at + 16);
  });
  bytes.writeUInt32LE(wishes.length, 560);
  return bytes;
}

const bit = (i: number): bigint => 1n << BigInt(i);

function flagsOf(wish: LineWish): bigint {
  const bias = { none: FLAG.noBias, 'pull-up': FLAG.pullUp, 'pull-down': FLAG.pullDown };
  const drive = { 'push-pull': 0n, 'open-drain': FLAG.openDrain, 'open-source': FLAG.openSource };
  return (
    (wish.direction === 'output' ? FLAG.output : FLAG.input) |
    (wish.active === 'low' ? FLAG.activeLow : 0n) |
    bias[wish.bias] |
    drive[wish.drive ?? 'push-pull'] |
    (wish.edges === true ? FLAG.rising | FLAG.falling : 0n)
  );
}

class HeldLines implements Lines {
  readonly #fd: number;
  readonly #offsets: number[];
  readonly #values = Buffer.alloc(SIZE.values);
  readonly #events = Buffer.alloc(SIZE.edge * 64);

  constructor(fd: number, offsets: number[]) {
    this.#fd = fd;
    this.#offsets = offsets;
    // A read that waits could never be given up: the process would hang at its end.
    fcntl(fd, F_SETFL, 'int', O_NONBLOCK);
  }

  read(): boolean[] {
    this.#values.writeBigUInt64LE(0n, 0);
    this.#values.writeBigUInt64LE(bit(this.#offsets.length) - 1n, 8);
    ask('GPIO_V2_LINE_GET_VALUES', this.#fd, IOCTL.getValues, this.#values);
    const bits = this.#values.readBigUInt64LE(0);
    return this.#offsets.map((_, i) => (bits & bit(i)) !== 0n);
  }

  write(levels: (boolean | null)[]): void {
    let bits = 0n;
    let mask = 0n;
    levels.forEach((on, i) => {
      if (on === null) return;
      mask |= bit(i);
      if (on) bits |= bit(i);
    });
    this.#values.writeBigUInt64LE(bits, 0);
    this.#values.writeBigUInt64LE(mask, 8);
    ask('GPIO_V2_LINE_SET_VALUES', this.#fd, IOCTL.setValues, this.#values);
  }

  edges(): Edge[] {
    const found: Edge[] = [];
    for (;;) {
      const size = this.#readEvents();
      for (let at = 0; at + SIZE.edge <= size; at += SIZE.edge) {
        const on = this.#events.readUInt32LE(at + 8) === RISING;
        found.push({ offset: this.#events.readUInt32LE(at + 12), on });
      }
      if (size < this.#events.length) return found;
    }
  }

  #readEvents(): number {
    try {
      return readSync(this.#fd, this.#events);
    } catch (error) {
      if ((error as NodeJS.ErrnoException).code === 'EAGAIN') return 0;
      throw error;
    }
  }

  close(): void {
    closeSync(this.#fd);
  }
}
