import type { BoardProfile, InputPin, OutputPin, WiredBoard } from '../../config/boards.ts';
import type { Board } from './board.ts';
import { countReader } from './counter.ts';
import { openGpio, STOP_LOOP, type GpioBoard, type GpioWiring } from './gpio-board.ts';
import { openModbus, type ModbusBoard, type ModbusWiring } from './modbus-board.ts';
import { createSimulatedBoard } from './simulated.ts';

export interface BoardOptions {
  /** Inputs that the core is given; those of a simulated board. */
  inputs: string[];
  /** Port of the Modbus board, or null where none is set. */
  port: string | null;
  /** The gate's, between one direction of a leaf and the other. */
  deadTimeMs: number;
  /** Trouble and its end, in words. */
  say: (text: string) => void;
}

/**
 * The board that a profile describes, all of it off.
 *
 * @throws Error in words with the remedy, where lines are taken, not allowed or not there, or where a
 * Modbus board has no port. A Modbus board that does not answer is no error: it is looked for for ever.
 */
export function createBoard(profile: BoardProfile, options: BoardOptions): Board {
  if (profile.type === 'simulated') return createSimulatedBoard(options.inputs);
  const wiring = modbusWiring(profile, options);
  const now = (): number => performance.now();
  // Lines first: they can refuse, and then nothing has to be undone.
  const gpio = profile.gpio === undefined ? null : openGpio(gpioWiring(profile));
  const modbus = wiring === null ? null : openModbus(wiring, { now, say: options.say });
  const { volts } = profile;
  const file =
    volts !== undefined && 'file' in volts
      ? countReader(volts.file, volts.voltsPerCount, now)
      : null;
  return joined(gpio, modbus, file, Object.keys(profile.inputs));
}

/** One board of its parts. */
export function joined(
  gpio: GpioBoard | null,
  modbus: ModbusBoard | null,
  file: (() => number | null) | null,
  inputs: string[],
): Board {
  // The lines forget a pulse once they were read, and the other part may have nothing to go with it.
  let opened = false;
  return {
    inputs,
    read() {
      const near = gpio?.read() ?? (gpio === null ? {} : null);
      const far = modbus?.read() ?? (modbus === null ? {} : null);
      opened ||= near?.[STOP_LOOP] === false;
      if (near === null || far === null) return null;
      const read = { ...near, ...far, ...(opened ? { [STOP_LOOP]: false } : {}) };
      opened = false;
      return read;
    },
    write(levels) {
      // Both are written whatever the other says: an off must get through where it can.
      const near = gpio?.write(levels) ?? true;
      const far = modbus?.write(levels) ?? true;
      return near && far;
    },
    edge: () => gpio?.edge(),
    volts: () => file?.() ?? modbus?.volts() ?? null,
    async close() {
      gpio?.close();
      await modbus?.close();
    },
  };
}

/** The part of a board that is on GPIO lines. */
export function gpioWiring(profile: WiredBoard): GpioWiring {
  return {
    chip: profile.gpio?.chip ?? '',
    outputs: only(profile.outputs, (pin) => 'gpio' in pin),
    inputs: only(profile.inputs, (pin) => 'gpio' in pin),
  };
}

/** The part of a board that is on Modbus, or null. */
export function modbusWiring(
  profile: WiredBoard,
  { port, deadTimeMs }: Pick<BoardOptions, 'port' | 'deadTimeMs'>,
): ModbusWiring | null {
  const { modbus, volts } = profile;
  if (modbus === undefined) return null;
  if (port === null) {
    throw new Error(
      'the Modbus board has no port. Add board: { port: /dev/serial/by-id/... } to site.yaml.',
    );
  }
  const { baud, framing, unit, timeoutMs, watchdog } = modbus;
  return {
    bus: { path: port, baud, framing, unit, timeoutMs },
    outputs: only(profile.outputs, (pin) => 'coil' in pin),
    inputs: only(profile.inputs, (pin) => 'discrete' in pin),
    volts: volts !== undefined && 'register' in volts ? volts : null,
    watchdog: watchdog ?? null,
    deadTimeMs,
  };
}

function only<P extends OutputPin | InputPin, Q extends P>(
  pins: Record<string, P>,
  is: (pin: P) => pin is Q,
): Record<string, Q> {
  return Object.fromEntries(Object.entries(pins).filter((one): one is [string, Q] => is(one[1])));
}
