import { EventEmitter } from 'node:events';
import { SerialPort } from 'serialport';

export interface SerialSettings {
  path: string;
  baud: number;
  /** Data bits, parity, stop bits: 8N1. */
  framing: string;
}

/** Bits on the wire for one byte: start, eight data, parity where there is one, stop. */
export function bitsPerByte(framing: string): number {
  return 9 + (framing[1] === 'N' ? 0 : 1) + Number(framing[2]);
}

const PARITY: Record<string, 'none' | 'even' | 'odd'> = { N: 'none', E: 'even', O: 'odd' };
const EXCEPTION_BYTES = 5;

/**
 * The wire under the Modbus library: one question at a time, and one answer to it. What was heard
 * before a question is thrown away, and what comes before the question can have been sent answers
 * an older one, or is the adapter's own echo: then this question gets no answer at all.
 */
export class RtuPort extends EventEmitter {
  readonly #port: SerialPort;
  readonly #msPerByte: number;
  readonly #now: () => number;
  #heard = Buffer.alloc(0);
  #question: { code: number; bytes: number; soonest: number } | null = null;
  /** Questions spoilt by bytes that came too soon. */
  tooSoon = 0;

  /** `now`: monotonic ms, with fractions. */
  constructor(serial: SerialSettings, now: () => number) {
    super();
    this.#now = now;
    this.#msPerByte = (1000 * bitsPerByte(serial.framing)) / serial.baud;
    this.#port = new SerialPort({
      path: serial.path,
      baudRate: serial.baud,
      dataBits: 8,
      parity: PARITY[serial.framing[1] ?? 'N'] ?? 'none',
      stopBits: serial.framing[2] === '2' ? 2 : 1,
      autoOpen: false,
    });
    this.#port.on('data', (bytes: Buffer) => this.#hear(bytes));
    this.#port.on('error', (error) => this.emit('error', error));
    this.#port.on('close', () => this.emit('close'));
  }

  get isOpen(): boolean {
    return this.#port.isOpen;
  }

  /** ms that a frame of so many bytes takes on the wire. */
  wireMs(bytes: number): number {
    return bytes * this.#msPerByte;
  }

  /** The silence that parts two frames, ms: 3.5 characters, 1.75 ms above 19,200 baud. */
  gapMs(): number {
    return Math.max(1.75, 3.5 * this.#msPerByte);
  }

  open(done: (error: Error | null) => void): void {
    this.#port.open(done);
  }

  close(done: (error: Error | null) => void): void {
    if (this.#port.isOpen) this.#port.close(done);
    else done(null);
  }

  write(frame: Buffer): void {
    this.#heard = Buffer.alloc(0);
    this.#question = {
      code: frame[1] ?? 0,
      bytes: answerBytes(frame),
      soonest: this.#now() + this.wireMs(frame.length),
    };
    this.#port.write(frame);
  }

  #hear(bytes: Buffer): void {
    const question = this.#question;
    if (question === null) return;
    if (this.#now() < question.soonest) {
      this.#question = null;
      this.tooSoon += 1;
      return;
    }
    this.#heard = Buffer.concat([this.#heard, bytes]);
    const refused = this.#heard[1] === (question.code | 0x80);
    if (this.#heard.length < (refused ? EXCEPTION_BYTES : question.bytes)) return;
    this.#question = null;
    this.emit('data', this.#heard);
  }
}

/** Length of the answer to a question, by the Modbus application protocol V1.1b3, section 6. */
function answerBytes(question: Buffer): number {
  const count = question.readUInt16BE(4);
  switch (question[1]) {
    case 1:
    case 2:
      return 5 + Math.ceil(count / 8);
    case 3:
    case 4:
      return 5 + 2 * count;
    default:
      return 8;
  }
}
