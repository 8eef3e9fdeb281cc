/** A serial port as what a link goes over. */
import { stat } from 'node:fs/promises';
import { SerialPort } from 'serialport';
import {
  openLine,
  type Channel,
  type ChannelEvents,
  type LineOptions,
  type OpenLine,
} from './line.ts';
import { portTrouble, portWarning } from './port-names.ts';

export interface SerialLineOptions extends Omit<LineOptions, 'name' | 'channel'> {
  path: string;
  serial: { baud: number; framing: string };
}

/** How often a device that may be silent is looked for under its name. */
const LOOK_MS = 1000;
/** An output that is blocked must not pile questions up. */
const MOST_UNSENT_BYTES = 256;

/** A serial port that is opened again for ever. */
export function openSerialLine(options: SerialLineOptions): OpenLine {
  const { path, serial, ...line } = options;
  void portWarning(path).then((warning) => {
    if (warning !== null) options.onNote(warning);
  });
  const watchName = options.silenceMs === null;
  const channel = (events: ChannelEvents): Channel =>
    serialChannel(path, serial, watchName, events);
  return openLine({ ...line, name: path, channel });
}

/** One opening of a port; with `watchName` it is gone when its name is, or means another device. */
function serialChannel(
  path: string,
  serial: SerialLineOptions['serial'],
  watchName: boolean,
  { bytes, gone }: ChannelEvents,
): Channel {
  const port = portOf(path, serial);
  let watch: NodeJS.Timeout | undefined;
  let closed = false;
  port.on('data', (data: Buffer) => bytes(data));
  port.on('close', () => gone(`${path} went away. Check the cable and the adapter.`));
  port.on('error', (error: Error) => gone(`${path} failed (${error.message}). Check the cable.`));
  /** A hang-up of a port that nobody hears from for hours is not always told. */
  const look = async (first: number | null): Promise<void> => {
    const device = await deviceOf(path);
    if (closed) return;
    if (device === first && device !== null) watch = setTimeout(() => void look(first), LOOK_MS);
    else gone(`${path} went away or is another device now. Check the adapter.`);
  };
  return {
    open: () =>
      new Promise((resolve, reject) => {
        port.open((error) => {
          if (error) {
            void portTrouble(path, error).then((reason) => reject(new Error(reason)));
            return;
          }
          if (closed) void shut(port);
          else if (watchName) void deviceOf(path).then(look);
          resolve();
        });
      }),
    write(text) {
      if (port.writableLength <= MOST_UNSENT_BYTES) port.write(Buffer.from(text, 'latin1'));
    },
    close() {
      closed = true;
      clearTimeout(watch);
      return shut(port);
    },
  };
}

function portOf(path: string, { baud, framing }: SerialLineOptions['serial']): SerialPort {
  const [dataBits, parity, stopBits] = framing;
  return new SerialPort({
    path,
    baudRate: baud,
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
