import { chipPaths, Chip, LineError, type Edge, type Lines, type LineWish } from './gpio-lines.ts';

/** Names and lines of the part of a board that is on a GPIO chip. */
export interface GpioWiring {
  /** Label of the chip, since its number changes between kernels. */
  chip: string;
  outputs: Record<string, OutputLine>;
  inputs: Record<string, InputLine>;
}

type Level = 'high' | 'low';
type Bias = 'none' | 'pull-up' | 'pull-down';
export interface InputLine {
  gpio: number;
  active: Level;
  bias: Bias;
}
export interface OutputLine extends InputLine {
  drive: 'push-pull' | 'open-drain' | 'open-source';
}

/** Who holds the lines, as `gpioinfo` shows it. */
const CONSUMER = 'fank';
/** An edge of it between two ticks is a stop, however short. */
export const STOP_LOOP = 'stopLoop';
const KEEP_ALIVE = 'keepAlive';

/** Lines of one board, held from opening until closing. */
export interface GpioBoard {
  /** Levels of all inputs by one call; null where the kernel refuses. */
  read(): Record<string, boolean> | null;
  /** False where the kernel refuses. Names that are no lines here are left alone. */
  write(levels: Record<string, boolean>): boolean;
  /** Turns the keep-alive's line over. */
  edge(): void;
  /** Outputs to their safe value, then the lines are given back. */
  close(): void;
}

/**
 * Claims every line, outputs off in the same call that makes them outputs.
 *
 * @throws Error in words with the remedy: no such chip, not allowed, a line held by another program.
 */
export function openGpio(wiring: GpioWiring): GpioBoard {
  const chip = findChip(wiring.chip);
  const outputs = outputNames(wiring);
  const inputs = Object.keys(wiring.inputs);
  let held: Lines | null = null;
  try {
    held = claim(chip, wiring, outputs, (name) => outputWish(wiring, name));
    return gpioBoard(wiring, {
      outputs: held,
      inputs: claim(chip, wiring, inputs, (name) => inputWish(wiring, name)),
    });
  } catch (error) {
    held?.close();
    throw error;
  } finally {
    chip.close();
  }
}

/** The board on lines that are held; either may be null where the board has none. */
export function gpioBoard(
  wiring: GpioWiring,
  held: { outputs: Lines | null; inputs: Lines | null },
): GpioBoard {
  const outputs = outputNames(wiring);
  let beat = false;
  const write = (levels: Record<string, boolean>): boolean => {
    const given = outputs.map((name) => levels[name] ?? null);
    // The kernel refuses to set no line at all.
    if (given.every((level) => level === null)) return true;
    return accepted(() => held.outputs?.write(given));
  };
  return {
    read: inputReader(wiring, held.inputs),
    write,
    edge() {
      beat = !beat;
      write({ [KEEP_ALIVE]: beat });
    },
    close() {
      write(Object.fromEntries(outputs.map((name) => [name, false])));
      held.outputs?.close();
      held.inputs?.close();
    },
  };
}

function accepted(call: () => void): boolean {
  try {
    call();
    return true;
  } catch (error) {
    if (error instanceof LineError || isSystemError(error)) return false;
    throw error;
  }
}

function isSystemError(error: unknown): boolean {
  return error instanceof Error && 'syscall' in error;
}

function inputReader(
  wiring: GpioWiring,
  lines: Lines | null,
): () => Record<string, boolean> | null {
  const names = Object.keys(wiring.inputs);
  let loopOn = false;
  return () => {
    let levels: boolean[] = [];
    let edges: Edge[] = [];
    const ok = accepted(() => {
      levels = lines?.read() ?? [];
      edges = lines?.edges() ?? [];
    });
    if (!ok) return null;
    const read = Object.fromEntries(names.map((name, i) => [name, levels[i] === true]));
    if (STOP_LOOP in read) {
      loopOn = (read[STOP_LOOP] ?? false) && heldSince(loopOn, edges.length);
      read[STOP_LOOP] = loopOn;
    }
    return read;
  };
}

/**
 * The loop is on now; was it all along? One edge brings it on. Any other means that it was open in
 * between, and it is given as open for this tick. Edges are counted and not looked at: in a pulse
 * too short to follow the kernel may see the same level twice.
 */
function heldSince(before: boolean, edges: number): boolean {
  return edges <= (before ? 0 : 1);
}

function outputNames(wiring: GpioWiring): string[] {
  return Object.keys(wiring.outputs);
}

function outputWish(wiring: GpioWiring, name: string): LineWish | null {
  const line = wiring.outputs[name];
  if (line === undefined) return null;
  const { gpio, active, bias, drive } = line;
  return { offset: gpio, direction: 'output', active, bias, drive, on: false };
}

function inputWish(wiring: GpioWiring, name: string): LineWish | null {
  const line = wiring.inputs[name];
  if (line === undefined) return null;
  const { gpio, active, bias } = line;
  return { offset: gpio, direction: 'input', active, bias, edges: name === STOP_LOOP };
}

function claim(
  chip: Chip,
  wiring: GpioWiring,
  names: string[],
  wish: (name: string) => LineWish | null,
): Lines | null {
  const wishes = names.map(wish).filter((one) => one !== null);
  if (wishes.length === 0) return null;
  try {
    return chip.request(CONSUMER, wishes);
  } catch (error) {
    if (!(error instanceof LineError)) throw error;
    throw new Error(refusal(chip, wiring, names, wishes, error), { cause: error });
  }
}

function refusal(
  chip: Chip,
  wiring: GpioWiring,
  names: string[],
  wishes: LineWish[],
  error: LineError,
): string {
  const beyond = wishes.findIndex((wish) => wish.offset >= chip.lines);
  if (beyond >= 0) {
    return `${names[beyond] ?? ''} is on line ${wishes[beyond]?.offset ?? ''}, but ${wiring.chip} has lines 0 to ${chip.lines - 1}. Give it another in the board profile.`;
  }
  if (error.code !== 'EBUSY') {
    return `${wiring.chip} does not take its lines as the board profile has them (${error.message}). Check bias and drive: not every chip can do every kind.`;
  }
  const taken = wishes.flatMap((wish, i) => {
    const info = chip.info(wish.offset);
    return info.used
      ? [`${names[i] ?? ''} (GPIO${wish.offset}) by ${info.consumer || 'the kernel'}`]
      : [];
  });
  return `lines of ${wiring.chip} are taken: ${taken.join(', ')}. Stop that program, or take the overlay that uses the line out of config.txt, or use another line.`;
}

/** The one chip with this label. */
function findChip(label: string): Chip {
  const seen: string[] = [];
  const found: Chip[] = [];
  for (const path of chipPaths()) {
    const chip = openChip(path);
    seen.push(chip.label);
    if (chip.label === label) found.push(chip);
    else chip.close();
  }
  const [chip, another] = found;
  if (chip !== undefined && another === undefined) return chip;
  for (const one of found) one.close();
  if (chip !== undefined)
    throw new Error(`more than one GPIO chip is called ${label}: they cannot be told apart.`);
  const there = seen.length === 0 ? 'This machine has none.' : `There are: ${seen.join(', ')}.`;
  throw new Error(
    `no GPIO chip is called ${label}. ${there} Set chip: in the board profile, or use the board simulated.`,
  );
}

function openChip(path: string): Chip {
  try {
    return new Chip(path);
  } catch (error) {
    const { code } = error as NodeJS.ErrnoException;
    if (code !== 'EACCES' && code !== 'EPERM') throw error;
    throw new Error(
      `this user may not open ${path}. Join the group gpio: sudo usermod -aG gpio $USER, then log in again.`,
      { cause: error },
    );
  }
}
