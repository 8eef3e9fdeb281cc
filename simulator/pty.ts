import {
  closeSync,
  constants,
  openSync,
  renameSync,
  symlinkSync,
  unlinkSync,
  writeSync,
} from 'node:fs';
import { ReadStream } from 'node:tty';
import koffi from 'koffi';

/** One end of a serial line that needs no hardware: what is written comes out at `path`. */
export interface Pty {
  /** The device to open as if it were a serial port, e.g. `/dev/pts/4`. */
  path: string;
  /**
   * Puts bytes on the wire and returns how many were taken. Never waits: where nobody reads and
   * the kernel's buffer is full the rest is lost, as on a real wire.
   */
  write(bytes: Uint8Array | string): number;
  /** Calls `listener` with what the other side sends. */
  onData(listener: (bytes: Uint8Array) => void): void;
  /** Hangs up: whoever has `path` open sees the device go. */
  close(): void;
}

const libc = koffi.load(null);
const unlockpt = libc.func('int unlockpt(int)') as (fd: number) => number;
const ptsname = libc.func('int ptsname_r(int, _Out_ char *, size_t)') as (
  fd: number,
  name: Uint8Array,
  size: number,
) => number;
const tcgetattr = libc.func('int tcgetattr(int, _Out_ void *)') as Termios;
const tcsetattr = libc.func('int tcsetattr(int, int, void *)') as (
  fd: number,
  when: number,
  termios: Uint8Array,
) => number;
const cfmakeraw = libc.func('void cfmakeraw(_Inout_ void *)') as (termios: Uint8Array) => void;
type Termios = (fd: number, termios: Uint8Array) => number;

/** More than any libc's `struct termios` (60 bytes with glibc). */
const TERMIOS_BYTES = 128;

/**
 * Opens a pseudo-terminal pair. Node opens both ends close-on-exec; the master does not block.
 *
 * @throws Error naming the call that failed, with errno.
 */
export function openPty(): Pty {
  const flags = constants.O_RDWR | constants.O_NOCTTY | constants.O_NONBLOCK;
  const master = openSync('/dev/ptmx', flags);
  let keeper: number;
  let path: string;
  try {
    path = makeReady(master);
    // With no slave open a master reads as an I/O error: keep one, so that the program under test
    // may close and open the port as it likes.
    keeper = openSync(path, flags);
  } catch (error) {
    closeSync(master);
    throw error;
  }
  return wrap(master, keeper, path);
}

function makeReady(master: number): string {
  must('unlockpt', unlockpt(master));
  const name = Buffer.alloc(64);
  must('ptsname_r', ptsname(master, name, name.length));
  // Raw, or the line discipline would echo our own bytes back and turn CR into LF.
  const termios = Buffer.alloc(TERMIOS_BYTES);
  must('tcgetattr', tcgetattr(master, termios));
  cfmakeraw(termios);
  must('tcsetattr', tcsetattr(master, 0, termios));
  return name.toString('utf8', 0, name.indexOf(0));
}

function wrap(master: number, keeper: number, path: string): Pty {
  const stream = new ReadStream(master);
  let open = true;
  stream.on('error', () => undefined);
  stream.resume();
  return {
    path,
    write(bytes) {
      if (!open) return 0;
      try {
        return writeSync(master, typeof bytes === 'string' ? Buffer.from(bytes, 'latin1') : bytes);
      } catch (error) {
        if ((error as NodeJS.ErrnoException).code === 'EAGAIN') return 0;
        throw error;
      }
    },
    onData(listener) {
      stream.on('data', listener);
    },
    close() {
      if (!open) return;
      open = false;
      closeSync(keeper);
      stream.destroy();
    },
  };
}

function must(call: string, result: number): void {
  if (result !== 0)
    throw new Error(`${call} failed (errno ${koffi.errno()}): is /dev/pts mounted?`);
}

/** A name that stays while the device behind it changes, as `/dev/serial/by-id/…` does. */
export interface StableName {
  path: string;
  /** Points the name at another device, in one step. */
  pointAt(device: string): void;
  /** Takes the name away, as when an adapter is unplugged. */
  remove(): void;
}

/** A symbolic link at `path` which can be pointed at one pty after another. */
export function stableName(path: string): StableName {
  return {
    path,
    pointAt(device) {
      const fresh = `${path}.new`;
      symlinkSync(device, fresh);
      renameSync(fresh, path);
    },
    remove() {
      try {
        unlinkSync(path);
      } catch (error) {
        if ((error as NodeJS.ErrnoException).code !== 'ENOENT') throw error;
      }
    },
  };
}
