import { SerialPort } from 'serialport';
import { portTrouble } from '../port-names.ts';

export interface Opening {
  baud: number;
  framing: string;
}

export interface ScanPortOptions {
  path: string;
  /** Monotonic whole ms. */
  now: () => number;
  onBytes: (t: number, bytes: Uint8Array) => void;
}

/** A serial port that is opened in one way after another. */
export interface ScanPort {
  /**
   * Closes the port where it is open and opens it so; nothing is sent.
   *
   * @throws Error in words where it cannot be opened.
   */
  open(opening: Opening): Promise<void>;
  /** Sends bytes, where a head must be asked. */
  send(bytes: string): void;
  close(): Promise<void>;
}

export function createScanPort({ path, now, onBytes }: ScanPortOptions): ScanPort {
  let port: SerialPort | null = null;
  const close = async (): Promise<void> => {
    const old = port;
    port = null;
    if (old?.isOpen) await new Promise<void>((resolve) => old.close(() => resolve()));
  };
  return {
    async open({ baud, framing }) {
      await close();
      const next = portOf(path, baud, framing);
      await new Promise<void>((resolve, reject) => {
        next.open((error) => {
          if (!error) resolve();
          else void portTrouble(path, error).then((reason) => reject(new Error(reason)));
        });
      });
      // An adapter that is unplugged is told by silence.
      next.on('error', () => undefined);
      next.on('data', (bytes: Buffer) => {
        if (port === next) onBytes(now(), bytes);
      });
      port = next;
    },
    send(bytes) {
      port?.write(Buffer.from(bytes, 'latin1'));
    },
    close,
  };
}

function portOf(path: string, baudRate: number, framing: string): SerialPort {
  const parity = framing[1];
  return new SerialPort({
    path,
    baudRate,
    dataBits: Number(framing[0]) as 7 | 8,
    parity: parity === 'E' ? 'even' : parity === 'O' ? 'odd' : 'none',
    stopBits: framing[2] === '2' ? 2 : 1,
    autoOpen: false,
  });
}
