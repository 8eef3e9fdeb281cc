import modbus from 'modbus-serial';
import { openModbus, type ModbusBoard } from '../../../src/adapters/relays/modbus-board.ts';
import { openPty } from '../../../simulator/pty.ts';

/** A relay and input board behind a wire that the test can spoil. */
export interface Bench {
  board: ModbusBoard;
  /** The board's own state. */
  coils: boolean[];
  discretes: boolean[];
  registers: Map<number, number>;
  /** What was written to the coils, in order. */
  written: boolean[][];
  /** Every change of a coil, with its time. */
  changed: { coil: number; on: boolean; at: number }[];
  said: string[];
  /** What becomes of an answer on its way: the bytes that arrive, each after its delay in ms. */
  spoil: (answer: Buffer) => { bytes: Buffer; afterMs: number }[];
  unplug(): void;
  plugIn(): void;
  close(): Promise<void>;
}

const BAUD = 115_200;
const UNIT = 7;
const CONTACTS = {
  frontShut: { discrete: 0, active: 'high' as const },
  laneClear: { discrete: 1, active: 'high' as const },
  backShut: { discrete: 2, active: 'low' as const },
};

/** A board of four relays, three contacts, one register of volts and one watchdog, on a wire of two ptys. */
export async function modbusBench(
  options: { baud?: number; timeoutMs?: number; contacts?: boolean } = {},
): Promise<Bench> {
  const near = openPty();
  const far = openPty();
  let plugged = true;
  const b: Omit<Bench, 'board'> = {
    coils: [false, false, false, false],
    discretes: [true, false, true],
    registers: new Map(),
    written: [],
    changed: [],
    said: [],
    spoil: (bytes) => [{ bytes, afterMs: 0 }],
    unplug: () => {
      plugged = false;
    },
    plugIn: () => {
      plugged = true;
    },
    close: () => Promise.resolve(),
  };
  near.onData((bytes) => {
    if (plugged) far.write(bytes);
  });
  far.onData((bytes) => {
    for (const part of b.spoil(Buffer.from(bytes))) {
      setTimeout(() => {
        if (plugged) near.write(part.bytes);
      }, part.afterMs);
    }
  });
  const server = serve(far.path, b);
  await new Promise((resolve) => server.once('initialized', resolve));
  const wiring = {
    bus: {
      path: near.path,
      baud: options.baud ?? BAUD,
      framing: '8N1',
      unit: UNIT,
      timeoutMs: options.timeoutMs ?? 250,
    },
    outputs: {
      'leafA.extend': { coil: 10 },
      'leafA.retract': { coil: 11 },
      'leafB.extend': { coil: 12 },
      'leafB.retract': { coil: 13 },
    },
    inputs: options.contacts === false ? {} : CONTACTS,
    volts: { register: 3, voltsPerCount: 0.01 },
    watchdog: { register: 64, value: 2 },
    deadTimeMs: 250,
  };
  const board = openModbus(wiring, {
    now: () => performance.now(),
    say: (text) => b.said.push(text),
  });
  const close = async (): Promise<void> => {
    await board.close();
    await new Promise((resolve) => {
      server.close(() => resolve(null));
    });
    near.close();
    far.close();
  };
  return Object.assign(b, { board, close });
}

interface Contents {
  coils: boolean[];
  discretes: boolean[];
  registers: Map<number, number>;
  written: boolean[][];
  changed: Bench['changed'];
}

function serve(path: string, b: Contents): modbus.ServerSerial {
  return new modbus.ServerSerial(
    {
      getCoil: (address: number) => b.coils[address - 10] ?? false,
      setCoil: (address: number, on: boolean) => {
        // The library hands a message of many coils over one by one.
        if (address === 10) b.written.push([]);
        b.written.at(-1)?.push(on);
        const coil = address - 10;
        if (b.coils[coil] !== on) b.changed.push({ coil, on, at: performance.now() });
        b.coils[coil] = on;
      },
      getDiscreteInput: (address: number) => b.discretes[address] ?? false,
      getInputRegister: (address: number) => (address === 3 ? 1240 : 0),
      setRegister: (address: number, value: number) => {
        b.registers.set(address, value);
      },
    },
    { path, baudRate: BAUD, unitID: UNIT, interval: 4 } as never,
  );
}

/** Real parts take real time; each wait ends as soon as what it waits for is there. */
export async function until(what: string, ready: () => boolean, mostMs = 5000): Promise<void> {
  const begin = performance.now();
  while (!ready()) {
    if (performance.now() - begin > mostMs) throw new Error(`waited in vain: ${what}`);
    await new Promise((resolve) => setTimeout(resolve, 2));
  }
}
