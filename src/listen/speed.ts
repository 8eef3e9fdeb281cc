/**
 * What speed a line has, from what a port that was opened too fast makes of it. At r times the
 * right speed every bit is sampled r times, so that only few bytes can come: at twice the speed the
 * bits of a byte are equal two by two, at more than nine times all are 0. One burst of a few bytes
 * then tells the ratio, and a port that is opened at the fastest speed first needs two or three
 * openings instead of one for each speed.
 */

/** Speeds that are looked for, bits a second, fastest first. */
export const SPEEDS = [
  115200, 57600, 38400, 28800, 19200, 14400, 9600, 4800, 2400, 1200, 600, 300,
] as const;

/** Of what kind the eighth bit of a text's bytes is. */
export type EighthBit = 'low' | 'even' | 'odd' | 'high';
const EIGHTH: readonly EighthBit[] = ['low', 'even', 'odd', 'high'];

export interface SpeedGuess {
  /** The speed that explains the bytes best; the fastest of those that explain them alike. */
  baud: number;
  /** All that explain them alike. */
  alike: number[];
  /** Slower and less likely, but not ruled out. */
  rivals: number[];
  /** Bits by which it beats the next one. */
  lead: number;
  /** Share of the bytes that can come at this speed. */
  fits: number;
}

/** A byte out of place (a glitch, the middle of a byte when the port was opened). */
const STRAY = 0.03 / 256;

/** The speed of a line from bytes that came with the port open at `opened`. */
export function guessSpeed(bytes: readonly number[], opened: number): SpeedGuess {
  const guesses = SPEEDS.filter((baud) => baud <= opened).map((baud) =>
    baud === opened ? { baud, ...textFit(bytes) } : { baud, ...ratioFit(bytes, opened / baud) },
  );
  guesses.sort((a, b) => b.bits - a.bits || b.baud - a.baud);
  const [best, ...others] = guesses;
  if (!best) return { baud: opened, alike: [opened], rivals: [], lead: 0, fits: 0 };
  const alike = others.filter((other) => best.bits - other.bits < 1e-6);
  const next = others[alike.length];
  return {
    baud: best.baud,
    alike: [best.baud, ...alike.map(({ baud }) => baud)],
    rivals: others
      .slice(alike.length)
      .filter(({ bits, baud }) => best.bits - bits < 40 && baud !== opened)
      .map(({ baud }) => baud),
    lead: next ? best.bits - next.bits : Infinity,
    fits: best.fits,
  };
}

interface Fit {
  /** Log to the base of 2 of how likely the bytes are. */
  bits: number;
  fits: number;
}

function ratioFit(bytes: readonly number[], ratio: number): Fit {
  const can = bytesAt(ratio);
  const each = 0.97 / can.size;
  return {
    bits: bytes.reduce((sum, byte) => sum + Math.log2(STRAY + (can.has(byte) ? each : 0)), 0),
    fits: share(bytes, (byte) => can.has(byte)),
  };
}

const cache = new Map<number, Set<number>>();

/** The bytes that a port gives at `ratio` times the right speed, whatever is sent. */
function bytesAt(ratio: number): Set<number> {
  const known = cache.get(ratio);
  if (known) return known;
  const bytes = new Set([0]);
  const bits = Math.min(5, Math.ceil(9.5 / ratio));
  for (const drift of [-0.02, 0, 0.02])
    for (let data = 0; data < 2 ** bits; data++) bytes.add(sampled(ratio * (1 + drift), data));
  cache.set(ratio, bytes);
  return bytes;
}

/** From a falling edge on: one low bit, then the bits of `data`, each `ratio` samples long. */
function sampled(ratio: number, data: number): number {
  let byte = 0;
  for (let i = 0; i < 8; i++) {
    const bit = Math.floor((i + 1.5) / ratio);
    if (bit > 0) byte |= ((data >> (bit - 1)) & 1) << i;
  }
  return byte;
}

/** How well the bytes read as text of seven bits, whatever the eighth is. */
export function textFit(bytes: readonly number[]): Fit & { eighth: EighthBit } {
  const fits = EIGHTH.map((eighth) => ({
    eighth,
    bits: bytes.reduce((sum, byte) => sum + textBits(byte, eighth), 0),
    fits: share(bytes, (byte) => hasEighth(byte, eighth) && isText(byte & 127)),
  }));
  // Parity makes the eighth bit high in some bytes and low in others.
  const high = share(bytes, (byte) => byte >= 128);
  const mixed = high > 0.12 && high < 0.88;
  const can = fits.filter(({ eighth }) => mixed || eighth === 'low' || eighth === 'high');
  return can.reduce((best, one) => (one.bits > best.bits ? one : best));
}

function textBits(byte: number, eighth: EighthBit): number {
  const chance = hasEighth(byte, eighth) ? (TEXT[byte & 127] ?? 0) : 0;
  return Math.log2(STRAY + chance);
}

export function hasEighth(byte: number, eighth: EighthBit): boolean {
  if (eighth === 'low') return byte < 128;
  if (eighth === 'high') return byte >= 128;
  return ones(byte) % 2 === (eighth === 'even' ? 0 : 1);
}

export function ones(byte: number): number {
  let count = 0;
  for (let rest = byte; rest > 0; rest >>= 1) count += rest & 1;
  return count;
}

/** How often a character stands in a weigh head's line: mostly digits, blanks and capitals. */
const TEXT = Float64Array.from({ length: 128 }, (_, code) => {
  const char = String.fromCharCode(code);
  if (/[0-9 .,]/.test(char)) return 0.58 / 13;
  if (/[A-Z]/.test(char)) return 0.2 / 26;
  if (/[a-z]/.test(char)) return 0.07 / 26;
  if (/[\x01-\x04\n\r]/.test(char)) return 0.08 / 6;
  return code > 32 && code < 127 ? 0.04 / 30 : 0;
});

function isText(code: number): boolean {
  return (TEXT[code] ?? 0) > 0;
}

function share(bytes: readonly number[], is: (byte: number) => boolean): number {
  return bytes.length === 0 ? 0 : bytes.filter(is).length / bytes.length;
}
