/**
 * A serial wire as levels over time: bytes are put on it bit by bit at one speed and framing, and
 * a receiver samples it at another, so that a port opened wrongly gives what a real one would give.
 */

export interface Serial {
  /** Bits a second. */
  baud: number;
  /** Data bits, parity, stop bits, e.g. `8N1`. */
  framing: string;
}

/** What the receiving side does with a byte of wrong parity or without its stop bit. */
export type OnError = 'drop' | 'keep';

export interface ReceivedByte {
  /** When its stop bit had been sampled, microseconds. */
  us: number;
  byte: number;
}

/** A wire that is high while idle; all times in microseconds. */
export interface Wire {
  /** Puts bytes on the wire one after another; returns when the last stop bit ends. */
  send(fromUs: number, bytes: Uint8Array, serial: Serial): number;
  /** Turns the level round for a while, as interference does. */
  pulse(fromUs: number, lengthUs: number): void;
  /** Moments at which the level changes, in order; it begins high. */
  toggles(): readonly number[];
}

export interface Framing {
  dataBits: number;
  parity: 'N' | 'E' | 'O';
  stopBits: number;
}

/** @throws Error where the text is no framing such as `8N1`. */
export function readFraming(text: string): Framing {
  if (!/^[5678][NEO][12]$/.test(text)) throw new Error(`${text} is no framing such as 8N1`);
  const parity = text[1];
  return {
    dataBits: Number(text[0]),
    parity: parity === 'E' ? 'E' : parity === 'O' ? 'O' : 'N',
    stopBits: Number(text[2]),
  };
}

export function createWire(): Wire {
  const toggles: number[] = [];
  let sorted = true;
  return {
    send(fromUs, bytes, serial) {
      const framing = readFraming(serial.framing);
      const bitUs = 1_000_000 / serial.baud;
      let at = fromUs;
      for (const byte of bytes) {
        let level = 1;
        for (const bit of bitsOf(byte, framing)) {
          if (bit !== level) toggles.push(at);
          level = bit;
          at += bitUs;
        }
      }
      sorted = false;
      return at;
    },
    pulse(fromUs, lengthUs) {
      toggles.push(fromUs, fromUs + lengthUs);
      sorted = false;
    },
    toggles() {
      if (!sorted) toggles.sort((a, b) => a - b);
      sorted = true;
      return toggles;
    },
  };
}

/** Start bit, data from the lowest, parity, stop bits. */
function bitsOf(byte: number, { dataBits, parity, stopBits }: Framing): number[] {
  const bits = [0];
  let ones = 0;
  for (let i = 0; i < dataBits; i++) {
    const bit = (byte >> i) & 1;
    ones += bit;
    bits.push(bit);
  }
  if (parity !== 'N') bits.push(parity === 'E' ? ones % 2 : 1 - (ones % 2));
  for (let i = 0; i < stopBits; i++) bits.push(1);
  return bits;
}

export interface Receiver {
  /** The bytes whose stop bit was sampled up to `us`. */
  readUntil(us: number): ReceivedByte[];
}

/**
 * A receiver that oversamples sixteenfold: it waits for a falling edge, proves the start bit in
 * its middle and samples each bit in its middle. Only the first stop bit is looked at. A byte that
 * is low throughout, stop bit and all, is a break and comes as 0. After a missing stop bit it waits
 * for the line to be high and to fall again. As Linux does it: with `IGNPAR` drivers of on-board
 * ports leave out bytes with errors (`drop`), most USB adapters give them as they are (`keep`).
 */
export function createReceiver(
  wire: Wire,
  serial: Serial,
  onError: OnError,
  fromUs: number,
): Receiver {
  const framing = readFraming(serial.framing);
  const bitUs = 1_000_000 / serial.baud;
  const levelAt = levelReader(wire);
  const waiting = 1 + framing.dataBits + (framing.parity === 'N' ? 0 : 1);
  let at = fromUs;
  let index = 0;
  const nextFall = (): number | null => {
    const toggles = wire.toggles();
    while (index < toggles.length && (toggles[index] ?? 0) < at) index++;
    for (; index < toggles.length; index++) if (index % 2 === 0) return toggles[index] ?? null;
    return null;
  };
  const sampled = (edge: number): number => {
    const grid = bitUs / 16;
    return fromUs + Math.ceil((edge - fromUs) / grid) * grid;
  };
  return {
    readUntil(us) {
      const given: ReceivedByte[] = [];
      for (;;) {
        const edge = nextFall();
        if (edge === null) break;
        const start = sampled(edge);
        const stop = start + (waiting + 0.5) * bitUs;
        if (stop > us) break;
        index += 1;
        at = start + 0.5 * bitUs;
        if (levelAt(at) !== 0) continue;
        at = stop;
        const byte = readByte(levelAt, start, bitUs, framing, onError);
        if (byte !== null) given.push({ us: stop, byte });
      }
      return given;
    },
  };
}

/** The level at moments that only go forward. */
function levelReader(wire: Wire): (us: number) => number {
  let passed = 0;
  return (us) => {
    const toggles = wire.toggles();
    while (passed < toggles.length && (toggles[passed] ?? 0) <= us) passed++;
    return 1 - (passed % 2);
  };
}

function readByte(
  levelAt: (us: number) => number,
  start: number,
  bitUs: number,
  { dataBits, parity }: Framing,
  onError: OnError,
): number | null {
  let byte = 0;
  let ones = 0;
  let bit = 1;
  for (; bit <= dataBits; bit++) {
    const level = levelAt(start + (bit + 0.5) * bitUs);
    byte |= level << (bit - 1);
    ones += level;
  }
  let wrong = false;
  if (parity !== 'N') {
    const level = levelAt(start + (bit + 0.5) * bitUs);
    wrong = (ones + level) % 2 !== (parity === 'E' ? 0 : 1);
    ones += level;
    bit += 1;
  }
  const stopped = levelAt(start + (bit + 0.5) * bitUs) === 1;
  if (!stopped && ones === 0) return 0;
  return (wrong || !stopped) && onError === 'drop' ? null : byte;
}
