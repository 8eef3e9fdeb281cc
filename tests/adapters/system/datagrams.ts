import { closeSync } from 'node:fs';
import koffi from 'koffi';

const libc = koffi.load(null);
const socket = libc.func('int socket(int, int, int)') as (...args: number[]) => number;
const bind = libc.func('int bind(int, const void *, uint32_t)') as (
  fd: number,
  address: Uint8Array,
  length: number,
) => number;
const recv = libc.func('intptr_t recv(int, _Out_ void *, size_t, int)') as (
  fd: number,
  into: Uint8Array,
  size: number,
  flags: number,
) => number;

/** From <sys/socket.h> on Linux. */
const AF_UNIX = 1;
const SOCK_DGRAM = 2;
const MSG_DONTWAIT = 0x40;

/** Stands in for the service manager: a datagram socket at `path`, or under a name that begins with @. */
export function listenAt(path: string) {
  const abstract = path.startsWith('@');
  const address = Buffer.concat([
    Buffer.from([AF_UNIX, 0]),
    Buffer.from(abstract ? `\0${path.slice(1)}` : `${path}\0`),
  ]);
  const fd = socket(AF_UNIX, SOCK_DGRAM, 0);
  if (fd < 0 || bind(fd, address, address.length) !== 0) throw new Error(`cannot bind ${path}`);
  const into = Buffer.alloc(4096);
  return {
    /** Everything that has come since the last look. */
    take(): string[] {
      const taken: string[] = [];
      for (;;) {
        const length = recv(fd, into, into.length, MSG_DONTWAIT);
        if (length < 0) return taken;
        taken.push(into.toString('utf8', 0, length));
      }
    },
    close(): void {
      closeSync(fd);
    },
  };
}
