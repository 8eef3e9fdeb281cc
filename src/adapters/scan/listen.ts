import { createScanPort } from './port.ts';

/** What decides how the port is opened; told bytes and times, it knows neither port nor clock. */
export interface Scanning {
  opening: () => { baud: number; framing: string };
  opened: (t: number) => void;
  hear: (t: number, bytes: Uint8Array) => void;
  turn: (t: number) => boolean;
}

export interface ListenOptions {
  path: string;
  seconds: number;
  scan: Scanning;
  /** Monotonic whole ms. */
  now: () => number;
  /** Asked again and again, for a head that does not speak by itself; null sends nothing. */
  ask: { send: string; everyMs: number } | null;
  /** Called some times a second; true ends the listening. */
  onTurn: (t: number) => boolean;
  /** The port is being opened in this way. */
  onOpening: (opening: { baud: number; framing: string }) => void;
}

const TURN_MS = 50;

/**
 * Listens on a serial port for so long, opened as the scan asks for.
 *
 * @throws Error in words where the port cannot be opened.
 */
export async function listenOn(options: ListenOptions): Promise<void> {
  const { path, scan, now, ask } = options;
  const port = createScanPort({ path, now, onBytes: (t, bytes) => scan.hear(t, bytes) });
  const open = async (): Promise<void> => {
    options.onOpening(scan.opening());
    await port.open(scan.opening());
    scan.opened(now());
  };
  try {
    await open();
    const until = now() + options.seconds * 1000;
    let asked = 0;
    for (;;) {
      const t = now();
      if (t >= until || options.onTurn(t)) return;
      if (ask !== null && t - asked >= ask.everyMs) {
        asked = t;
        port.send(ask.send);
      }
      if (scan.turn(t)) await open();
      await new Promise((resolve) => setTimeout(resolve, TURN_MS));
    }
  } finally {
    await port.close();
  }
}
