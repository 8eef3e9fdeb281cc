/**
 * The order in which a port is opened to find speed and framing: fastest first, then wherever the
 * bytes point. Pure: it is told bytes and times, and says how the port must be open next.
 */
import { guessSpeed, ones, SPEEDS, textFit, type EighthBit, type SpeedGuess } from './speed.ts';

export interface Opening {
  baud: number;
  framing: string;
}

/** A byte with the time at which it was handed over, ms. */
export interface HeardByte {
  t: number;
  byte: number;
}

export interface Scan {
  /** How the port must be open now. */
  opening: () => Opening;
  /** The port was opened so at `t`. */
  opened: (t: number) => void;
  hear: (t: number, bytes: Uint8Array) => void;
  /** To be called some times a second. True: the port must be opened anew as `opening` says. */
  turn: (t: number) => boolean;
  /** What was found so far. */
  found: () => Found;
}

export interface Found {
  /** Null: not known yet, or the line gives the same bytes at every speed (`everySpeed`). */
  baud: number | null;
  framing: string | null;
  everySpeed: boolean;
  /** The text, of seven bits where the framing says so, since the port is open as it should be. */
  text: HeardByte[];
  evidence: string[];
  /** Any byte ever came. */
  anything: boolean;
}

/** A head may send once a second. */
const PATIENCE_MS = 1300;
const ENOUGH = 14;
const FEW = 5;
/** More than a frame of most heads. */
const ENOUGH_TO_COMPARE = 24;

interface State {
  opening: Opening;
  openedAt: number;
  bytes: HeardByte[];
  /** Openings at which bytes came that are no text: proof that the line has a speed of its own. */
  garbled: Opening[];
  locked: { eighth: EighthBit; framing: string } | null;
  everySpeed: boolean;
  /** The opening to come back to after looking at the line at another speed. */
  home: { opening: Opening; bytes: number[] } | null;
  /** Other framings of the same speed that are still to be tried. */
  left: Opening[];
  evidence: string[];
  anything: boolean;
  silent: number;
}

export function createScan(): Scan {
  const state: State = {
    opening: { baud: SPEEDS[0], framing: '8N1' },
    openedAt: 0,
    bytes: [],
    garbled: [],
    locked: null,
    everySpeed: false,
    home: null,
    left: [],
    evidence: [],
    anything: false,
    silent: 0,
  };
  return {
    opening: () => state.opening,
    opened: (t) => {
      state.openedAt = t;
      state.bytes = [];
    },
    hear: (t, bytes) => {
      if (bytes.length > 0) state.anything = true;
      for (const byte of bytes) state.bytes.push({ t, byte });
    },
    turn: (t) => (state.locked === null ? turn(state, t) : false),
    found: () => found(state),
  };
}

function found(state: State): Found {
  const { locked, opening, bytes, evidence, anything, everySpeed } = state;
  const mask = locked !== null && locked.eighth !== 'low' ? 127 : 255;
  return {
    baud: locked === null || everySpeed ? null : opening.baud,
    framing: locked === null || everySpeed ? null : locked.framing,
    everySpeed,
    text: locked === null ? [] : bytes.map(({ t, byte }) => ({ t, byte: byte & mask })),
    evidence,
    anything,
  };
}

/** True where the port must be opened in another way. */
function turn(state: State, t: number): boolean {
  const waited = t - state.openedAt;
  const { length } = state.bytes;
  const ready = length >= ENOUGH || (length >= FEW && waited >= PATIENCE_MS);
  if (!ready) {
    if (waited < PATIENCE_MS) return false;
    if (state.home !== null) return goHome(state, 'next to nothing');
    return length === 0 ? silence(state) : garbled(state, null);
  }
  const bytes = state.bytes.map(({ byte }) => byte);
  const { baud, framing } = state.opening;
  if (state.home !== null) return atBoth(state, state.home);
  const guess = guessSpeed(bytes.slice(-60), baud);
  const text = textFit(bytes.slice(-60));
  // On a line that is not that slow, a port which leaves out bad bytes may give a few 0, too.
  const slow = bytes.every((byte) => byte === 0) && length < ENOUGH;
  const clear = guess.fits >= 0.8 && guess.lead > 10 && !slow;
  if (guess.baud === baud) {
    // A second stop bit reads as a high eighth bit throughout; a missing one spoils bytes.
    const raw = text.eighth === 'low' && (length >= 2 * ENOUGH || waited >= PATIENCE_MS);
    const least = text.eighth === 'high' && framing === '8N1' ? 0.97 : raw ? 0.72 : 0.9;
    if (clear && looksLikeLines(bytes) && text.fits >= least)
      return asText(state, bytes, text.eighth);
  }
  if ((!clear || guess.baud === baud) && waited < PATIENCE_MS) return false;
  return garbled(state, clear ? guess : null);
}

/** Several different bytes and the end of a frame: not the few that get through by chance. */
function looksLikeLines(bytes: number[]): boolean {
  return new Set(bytes).size >= 4 && bytes.some((byte) => [3, 4, 10, 13].includes(byte & 127));
}

function open(state: State, opening: Opening): boolean {
  state.opening = opening;
  state.silent = 0;
  return true;
}

/** Nothing comes: perhaps at another speed something does, or the head sends nothing. */
function silence(state: State): boolean {
  const next = state.left.shift();
  if (next) return open(state, next);
  const order = [115200, 9600, 2400, 19200, 1200, 4800];
  state.silent += 1;
  state.opening = { baud: order[state.silent % order.length] ?? 9600, framing: '8N1' };
  return true;
}

const say = ({ baud, framing }: Opening): string => `${baud} ${framing}`;

function asText(state: State, bytes: number[], eighth: EighthBit): boolean {
  const { opening, evidence } = state;
  const parity = halfMissing(bytes, eighth);
  if (parity !== null && opening.framing === '8N1') {
    evidence.push(
      `framing: at ${say(opening)} only bytes with an ${parity === 'E' ? 'odd' : 'even'} count of ones came, as where the others fail for a parity bit in the place of the stop bit`,
    );
    state.garbled.push(opening);
    return open(state, { baud: opening.baud, framing: `8${parity}1` });
  }
  if (!state.garbled.some(({ baud }) => baud !== opening.baud)) {
    if (bytes.length < ENOUGH_TO_COMPARE) return false;
    state.home = { opening, bytes };
    const baud = opening.baud * 2 <= SPEEDS[0] ? opening.baud * 2 : 9600;
    return open(state, { baud, framing: '8N1' });
  }
  lock(state, eighth);
  return false;
}

const OF_EIGHTH: Record<EighthBit, [string, string]> = {
  low: ['8N1', 'the eighth bit of every byte is low, as in text of eight bits without parity'],
  even: ['7E1', 'the eighth bit makes the count of ones even in every byte'],
  odd: ['7O1', 'the eighth bit makes the count of ones odd in every byte'],
  high: ['7N2', 'the eighth bit of every byte is high: a second stop bit after seven data bits'],
};

function lock(state: State, eighth: EighthBit): void {
  const { opening, evidence } = state;
  const [framing, why] = OF_EIGHTH[eighth];
  const plain = opening.framing === '8N1';
  state.locked = { eighth, framing: plain ? framing : opening.framing };
  evidence.push(`speed: the bytes read as text at ${opening.baud} bits a second`);
  evidence.push(
    plain ? `framing ${framing}: ${why}` : `framing ${opening.framing}: only so the bytes are text`,
  );
}

/**
 * Bytes of one parity only: a ninth bit is taken for the stop bit, and the port leaves out the
 * bytes in which it is low. `E` where even parity would do that, `O` for odd.
 */
function halfMissing(bytes: number[], eighth: EighthBit): 'E' | 'O' | null {
  if (eighth !== 'low' || new Set(bytes).size < 4) return null;
  const odd = bytes.filter((byte) => ones(byte) % 2 === 1).length;
  if (odd >= bytes.length * 0.9) return 'E';
  return odd <= bytes.length * 0.1 ? 'O' : null;
}

const OTHER_FRAMINGS = ['7N1', '8E1', '8O1'];

/** Bytes that are no text; `guess` where they tell the speed. */
function garbled(state: State, guess: SpeedGuess | null): boolean {
  const { opening, evidence } = state;
  state.garbled.push(opening);
  const at = (baud: number): Opening => ({ baud, framing: '8N1' });
  if (guess !== null && guess.baud !== opening.baud) {
    const { baud, alike, rivals } = guess;
    const which = alike.length > 1 ? `${baud} or less` : String(baud);
    evidence.push(
      `speed: opened at ${opening.baud}, each bit is sampled several times over: ${which}`,
    );
    // Silence at a speed that is certain comes of a framing that spoils every byte.
    const framings = alike.length > 1 ? [] : OTHER_FRAMINGS.map((framing) => ({ baud, framing }));
    state.left = [...rivals.map(at), ...framings];
    return open(state, at(baud));
  }
  const known = new Set(state.garbled.map(say));
  const others = OTHER_FRAMINGS.map((framing) => ({ baud: opening.baud, framing }));
  const speeds = opening.baud === SPEEDS[0] ? [38400, 19200, 57600, 9600].map(at) : [];
  const many = new Set(state.bytes.map(({ byte }) => byte)).size > 12;
  state.left.push(...(many ? others.slice(0, 1) : []), ...speeds, ...others);
  state.left = state.left.filter((each) => !known.has(say(each)));
  return open(state, state.left.shift() ?? at(SPEEDS[0]));
}

/** Back from another speed, at which the line gave something else: so it has a speed of its own. */
function goHome(state: State, what: string): boolean {
  const { home, opening, evidence } = state;
  if (home === null) return false;
  evidence.push(
    `speed: at ${opening.baud} the same line gives ${what}, so its speed matters and is ${home.opening.baud}`,
  );
  state.garbled.push(opening);
  state.home = null;
  return open(state, home.opening);
}

function atBoth(state: State, home: NonNullable<State['home']>): boolean {
  const bytes = state.bytes.map(({ byte }) => byte);
  if (alike(bytes, home.bytes) < 0.5) return goHome(state, 'other bytes');
  state.evidence.push(
    `speed: the line gives the same text at ${home.opening.baud} and at ${state.opening.baud}: it has no speed of its own (a pseudo-terminal, or an adapter that ignores the setting)`,
  );
  state.home = null;
  state.everySpeed = true;
  state.locked = { eighth: textFit(bytes).eighth, framing: '8N1' };
  return false;
}

/** Share of the runs of three bytes that come in the other text too. */
function alike(bytes: number[], other: number[]): number {
  const runs = (all: number[]): string[] => all.slice(2).map((_, i) => all.slice(i, i + 3).join());
  const there = new Set(runs(other));
  const here = runs(bytes);
  return here.filter((run) => there.has(run)).length / Math.max(1, here.length);
}
