import { stat } from 'node:fs/promises';
import { SerialPort } from 'serialport';
import { portTrouble, portWarning } from './port-names.ts';

export interface SerialLineOptions {
  path: string;
  serial: { baud: number; framing: string };
  /** Bytes sent once when the port has been opened. */
  begin: string | undefined;
  /** Ask and answer, where the device does not speak by itself. */
  ask: { send: string; everyMs: number; timeoutMs: number; retries: number } | undefined;
  /** No whole frame for so long: the link is down. Null for a device that may be silent. */
  silenceMs: number | null;
  /** Monotonic whole ms. */
  now: () => number;
  /** Bytes that came at `t`; returns how many whole frames they completed. */
  onBytes: (t: number, bytes: Uint8Array) => number;
  /** The port was opened: what comes now has nothing to do with what came before. */
  onOpened: () => void;
  /** The link came up or went down, with the reason and the remedy in words. */
  onLink: (up: boolean, reason: string) => void;
  /** Something that a person should know and that does not change the link. */
  onNote: (text: string) => void;
}

export interface SerialLineHealth {
  path: string;
  up: boolean;
  /** Why it is as it is, in words. */
  reason: string;
  /** When it last changed; null before it was first known. */
  changedAt: number | null;
  /** Arrival of the last whole frame, or null. */
  heardAt: number | null;
  /** When it was lost last; null where it never was. */
  lostAt: number | null;
  /** How many times the port was opened. */
  opened: number;
  bytes: number;
}

export interface SerialLine {
  /** Closes the port for good; resolves when it is closed. */
  close: () => Promise<void>;
  health: () => SerialLineHealth;
}

const FIRST_WAIT_MS = 25;
/** Short enough for readings to be back within 2 s of a device being given back. */
const LONGEST_WAIT_MS = 1000;
/** How often a device that may be silent is looked for under its name. */
const LOOK_MS = 1000;
/** An output that is blocked must not pile questions up. */
const MOST_UNSENT_BYTES = 256;

/**
 * A serial port that is opened again for ever, with a capped back-off. Silence decides: a port may
 * be open with nobody at its other end, and a hang-up that falls into a read is not told. Never
 * throws and never gives up.
 */
export function openSerialLine(options: SerialLineOptions): SerialLine {
  const line = new Line(options);
  void portWarning(options.path).then((warning) => {
    if (warning !== null) options.onNote(warning);
  });
  line.open();
  return { close: () => line.close(), health: () => line.health() };
}

class Line {
  private readonly options: SerialLineOptions;
  private readonly state: SerialLineHealth;
  private port: SerialPort | null = null;
  private closed = false;
  private waitMs = FIRST_WAIT_MS;
  private openedAt = 0;
  private bytesSinceOpen = 0;
  private unanswered = 0;
  private askedAt = 0;
  private retry: NodeJS.Timeout | undefined;
  private watch: NodeJS.Timeout | undefined;
  private question: NodeJS.Timeout | undefined;

  constructor(options: SerialLineOptions) {
    this.options = options;
    this.state = {
      path: options.path,
      up: false,
      reason: 'not opened yet',
      changedAt: null,
      heardAt: null,
      lostAt: null,
      opened: 0,
      bytes: 0,
    };
  }

  health(): SerialLineHealth {
    return { ...this.state };
  }

  open(): void {
    if (this.closed) return;
    const port = portOf(this.options);
    this.port = port;
    port.on('data', (bytes: Buffer) => this.arrived(port, bytes));
    port.on('close', () =>
      this.lost(port, `${this.options.path} went away. Check the cable and the adapter.`),
    );
    port.on('error', (error: Error) =>
      this.lost(port, `${this.options.path} failed (${error.message}). Check the cable.`),
    );
    port.open((error) => {
      if (this.port !== port) void shut(port);
      else if (error) this.refused(port, error);
      else this.opened(port);
    });
  }

  close(): Promise<void> {
    this.closed = true;
    this.stopTimers();
    const port = this.port;
    this.port = null;
    return port ? shut(port) : Promise.resolve();
  }

  private opened(port: SerialPort): void {
    const { silenceMs, begin, ask, path } = this.options;
    this.openedAt = this.options.now();
    this.bytesSinceOpen = 0;
    this.state.opened += 1;
    this.unanswered = 0;
    this.options.onOpened();
    if (begin !== undefined) this.send(port, begin);
    if (ask) this.askNow(port);
    if (silenceMs !== null) this.watchSilence(port, silenceMs);
    else {
      this.say(true, `${path} is open`);
      void this.watchName(port);
    }
  }

  private refused(port: SerialPort, error: Error): void {
    void portTrouble(this.options.path, error).then((reason) => this.lost(port, reason));
  }

  private arrived(port: SerialPort, bytes: Uint8Array): void {
    if (this.port !== port) return;
    const t = this.options.now();
    this.bytesSinceOpen += bytes.length;
    this.state.bytes += bytes.length;
    if (this.options.onBytes(t, bytes) === 0) return;
    this.state.heardAt = t;
    this.waitMs = FIRST_WAIT_MS;
    this.say(true, 'whole frames arrive');
    this.answered(port, t);
  }

  /** The one way down: from a failed opening, a hang-up, silence, or questions without answer. */
  private lost(port: SerialPort, reason: string): void {
    if (this.port !== port || this.closed) return;
    this.port = null;
    this.stopTimers();
    this.say(false, reason);
    void shut(port).then(() => {
      if (this.closed) return;
      this.retry = setTimeout(() => this.open(), this.waitMs);
      this.waitMs = Math.min(this.waitMs * 2, LONGEST_WAIT_MS);
    });
  }

  private say(up: boolean, reason: string): void {
    const { state } = this;
    const changed = state.up !== up || state.changedAt === null;
    const news = state.reason !== reason;
    state.reason = reason;
    if (changed) {
      if (state.up) state.lostAt = this.options.now();
      state.up = up;
      state.changedAt = this.options.now();
      this.options.onLink(up, reason);
    } else if (news && !up) this.options.onNote(reason);
  }

  private watchSilence(port: SerialPort, silenceMs: number): void {
    const heardAt = (): number => Math.max(this.state.heardAt ?? 0, this.openedAt);
    const look = (): void => {
      if (this.port !== port) return;
      const left = heardAt() + silenceMs - this.options.now();
      if (left > 0) this.watch = setTimeout(later, left);
      else this.lost(port, this.silent(silenceMs));
    };
    // After a late turn of the loop, bytes that came meanwhile must be read before judging.
    const later = (): void => void setImmediate(look);
    this.watch = setTimeout(later, silenceMs);
  }

  private silent(silenceMs: number): string {
    const { path } = this.options;
    if (this.bytesSinceOpen === 0)
      return `Nothing came from ${path} for ${silenceMs} ms. Check that the device is on and sends, and the cable.`;
    return `No whole frame came from ${path} for ${silenceMs} ms. If other bytes come, check speed, framing and profile.`;
  }

  /** A device that may be silent is gone when its name is, or means another device. */
  private async watchName(port: SerialPort): Promise<void> {
    const { path } = this.options;
    const first = await deviceOf(path);
    const look = async (): Promise<void> => {
      const device = await deviceOf(path);
      if (this.port !== port) return;
      if (device === first && device !== null) this.watch = setTimeout(() => void look(), LOOK_MS);
      else this.lost(port, `${path} went away or is another device now. Check the adapter.`);
    };
    if (this.port === port) this.watch = setTimeout(() => void look(), LOOK_MS);
  }

  private askNow(port: SerialPort): void {
    const { ask, path } = this.options;
    if (!ask || this.port !== port) return;
    if (this.unanswered > ask.retries) {
      this.lost(port, `${path} did not answer ${this.unanswered} questions. Check the profile.`);
      return;
    }
    this.unanswered += 1;
    this.askedAt = this.options.now();
    this.send(port, ask.send);
    clearTimeout(this.question);
    const again = (): void => void setImmediate(() => this.unheard(port));
    this.question = setTimeout(again, ask.timeoutMs);
  }

  private unheard(port: SerialPort): void {
    if (this.unanswered > 0) this.askNow(port);
  }

  private answered(port: SerialPort, t: number): void {
    const { ask } = this.options;
    if (!ask || this.unanswered === 0) return;
    this.unanswered = 0;
    clearTimeout(this.question);
    const wait = Math.max(0, this.askedAt + ask.everyMs - t);
    this.question = setTimeout(() => this.askNow(port), wait);
  }

  private send(port: SerialPort, bytes: string): void {
    if (port.writableLength <= MOST_UNSENT_BYTES) port.write(Buffer.from(bytes, 'latin1'));
  }

  private stopTimers(): void {
    clearTimeout(this.retry);
    clearTimeout(this.watch);
    clearTimeout(this.question);
  }
}

function portOf({ path, serial }: SerialLineOptions): SerialPort {
  const [dataBits, parity, stopBits] = serial.framing;
  return new SerialPort({
    path,
    baudRate: serial.baud,
    dataBits: Number(dataBits) as 5 | 6 | 7 | 8,
    parity: parity === 'E' ? 'even' : parity === 'O' ? 'odd' : 'none',
    stopBits: stopBits === '2' ? 2 : 1,
    autoOpen: false,
  });
}

/** Closes whatever is left of a port; errors of a device that is gone say nothing new. */
function shut(port: SerialPort): Promise<void> {
  return new Promise((resolve) => {
    if (!port.isOpen) {
      resolve();
      return;
    }
    port.close(() => resolve());
  });
}

async function deviceOf(path: string): Promise<number | null> {
  try {
    return (await stat(path)).rdev;
  } catch {
    return null;
  }
}
