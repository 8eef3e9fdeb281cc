/**
 * Words to the service manager by the protocol of sd_notify(3): one datagram each to the socket that
 * NOTIFY_SOCKET names. Linux only; Node has no datagram sockets of this family, so libc is called.
 */
import koffi from 'koffi';

/** From <sys/socket.h> on Linux, x64, arm64 and armhf alike. */
const AF_UNIX = 1;
const SOCK_DGRAM_CLOEXEC = 2 | 0o2000000;
/** Never waits for a full socket, never raises SIGPIPE. */
const MSG_DONTWAIT_NOSIGNAL = 0x40 | 0x4000;
/** Of sockaddr_un: two bytes of family, then the path. */
const LONGEST_PATH = 107;

/** The service manager, where one listens. */
export interface ServiceManager {
  /** The service is up; `status` is shown to people. */
  ready(status: string): void;
  /**
   * The service's tick ended well: call it at the end of each good tick. Sent on at most four times
   * in the watchdog's time, and never where no watchdog was asked for.
   */
  ticked(nowMs: number): void;
  stopping(): void;
}

/**
 * @param env where NOTIFY_SOCKET, WATCHDOG_USEC and WATCHDOG_PID stand
 * @returns null where nobody listens
 * @throws Error where NOTIFY_SOCKET cannot be an address
 */
export function serviceManager(env: NodeJS.ProcessEnv, pid: number): ServiceManager | null {
  const path = env['NOTIFY_SOCKET'];
  if (path === undefined || path === '') return null;
  const send = sender(path);
  const everyMs = watchdogMs(env, pid) / 4;
  let dueMs = everyMs === Infinity ? Infinity : 0;
  return {
    ready: (status) => {
      send(`READY=1\nSTATUS=${status.replaceAll('\n', ' ')}`);
    },
    ticked: (nowMs) => {
      if (nowMs < dueMs) return;
      dueMs = nowMs + everyMs;
      send('WATCHDOG=1');
    },
    stopping: () => {
      send('STOPPING=1');
    },
  };
}

/** The watchdog's time, ms; endless where none was asked of this process. */
function watchdogMs(env: NodeJS.ProcessEnv, pid: number): number {
  const mine = env['WATCHDOG_PID'] === undefined || Number(env['WATCHDOG_PID']) === pid;
  const usec = Number(env['WATCHDOG_USEC'] ?? 0);
  return mine && usec > 0 ? usec / 1000 : Infinity;
}

/** A lost datagram is nothing to fail over: the next one follows, or the watchdog does its work. */
function sender(path: string): (text: string) => void {
  const address = socketAddress(path);
  const libc = koffi.load(null);
  const sendTo = libc.func(
    'intptr_t sendto(int, const void *, size_t, int, const void *, uint32_t)',
  );
  const socket = libc.func('int socket(int, int, int)') as (...args: number[]) => number;
  const fd = socket(AF_UNIX, SOCK_DGRAM_CLOEXEC, 0);
  if (fd < 0) throw new Error('no socket for the service manager: too many open files?');
  return (text) => {
    const bytes = Buffer.from(text);
    sendTo(fd, bytes, bytes.length, MSG_DONTWAIT_NOSIGNAL, address, address.length);
  };
}

/** A path, or an abstract name that begins with @. */
function socketAddress(path: string): Buffer {
  const name = Buffer.from(path);
  if (name.length > LONGEST_PATH || !/^[/@]./.test(path)) {
    throw new Error(`NOTIFY_SOCKET is no address of a socket: ${path}`);
  }
  const abstract = path.startsWith('@');
  const address = Buffer.alloc(2 + name.length + (abstract ? 0 : 1));
  address.writeUInt16LE(AF_UNIX, 0);
  name.copy(address, 2);
  if (abstract) address[2] = 0;
  return address;
}
