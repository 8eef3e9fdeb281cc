import { setTimeout as sleep } from 'node:timers/promises';
import modbus from 'modbus-serial';
import { portTrouble } from '../port-names.ts';
import { RtuPort, type SerialSettings } from './rtu-port.ts';

export interface BusSettings extends SerialSettings {
  /** The board's address, 1 to 247. */
  unit: number;
  /** An answer that has not come by then counts as none, ms; to a write it is waited for longer. */
  timeoutMs: number;
}

/**
 * A write is not asked a second time, and a board whose write failed is lost: so a thread that stood
 * still for a moment must not look like a lost answer. By then the contacts are too old anyhow.
 */
const WRITE_MS = 100;

/** A bus that is open. Every call is one question; each rejects where its answer does not fit. */
export interface Bus {
  coils(first: number, count: number): Promise<boolean[]>;
  discretes(first: number, count: number): Promise<boolean[]>;
  inputRegister(address: number): Promise<number>;
  writeCoils(first: number, levels: boolean[]): Promise<void>;
  writeRegister(address: number, value: number): Promise<void>;
  close(): Promise<void>;
}

/**
 * Opens the port of a Modbus RTU board.
 *
 * @throws Error in words where the port is not there, not allowed or taken.
 */
export async function openBus(settings: BusSettings, now: () => number): Promise<Bus> {
  const port = new RtuPort(settings, now);
  const client = new modbus.default(port);
  // The library speaks up on a lost port by itself; here the next question fails, which is enough.
  client.on('error', () => undefined);
  await new Promise<void>((resolve, reject) => {
    client.open((error: Error | null) => (error === null ? resolve() : reject(error)));
  }).catch(async (error: unknown) => {
    throw new Error(await portTrouble(settings.path, error as Error), { cause: error });
  });
  client.setID(settings.unit);
  return questions(client, port, settings);
}

function questions(client: modbus.default, port: RtuPort, settings: BusSettings): Bus {
  const ask = async <T>(question: () => Promise<T>, leastMs = 0): Promise<T> => {
    const { tooSoon } = port;
    const timeoutMs = Math.max(settings.timeoutMs, leastMs);
    client.setTimeout(timeoutMs);
    try {
      return await question();
    } catch (error) {
      throw new Error(inWords({ ...settings, timeoutMs }, port.tooSoon > tooSoon, error), {
        cause: error,
      });
    } finally {
      await sleep(Math.ceil(port.gapMs()));
    }
  };
  return {
    coils: (first, count) => ask(async () => (await client.readCoils(first, count)).data),
    discretes: (first, count) =>
      ask(async () => (await client.readDiscreteInputs(first, count)).data),
    inputRegister: (address) =>
      ask(async () => (await client.readInputRegisters(address, 1)).data[0] ?? 0),
    writeCoils: (first, levels) =>
      ask(async () => {
        const echo = await client.writeCoils(first, levels);
        same('coils', [echo.address, echo.length], [first, levels.length]);
      }, WRITE_MS),
    writeRegister: (address, value) =>
      ask(async () => {
        const echo = await client.writeRegister(address, value);
        same('register', [echo.address, echo.value], [address, value]);
      }, WRITE_MS),
    close: () =>
      new Promise((resolve) => {
        port.close(() => resolve());
      }),
  };
}

function same(what: string, echoed: number[], sent: number[]): void {
  if (echoed.join() === sent.join()) return;
  throw new Error(`it confirmed other ${what}: ${echoed.join(', ')} for ${sent.join(', ')}`);
}

function inWords(settings: BusSettings, tooSoon: boolean, error: unknown): string {
  const board = `the Modbus board ${settings.unit} on ${settings.path}`;
  if (tooSoon) {
    return `${board} was heard before it can have been asked. Two masters are on the bus, or the adapter hears itself: switch its echo off.`;
  }
  const { message, name } = error as Error;
  if (name === 'TransactionTimedOutError') {
    return `${board} does not answer within ${settings.timeoutMs} ms. Check its supply, wires A and B, its address and speed.`;
  }
  if (name === 'PortNotOpenError') return `${board} is gone: its port was closed. Check the cable.`;
  return `${board} answered wrongly (${message}). Check its address and speed, the wires and the terminators.`;
}
