import { isSafetyContact } from '../core/contacts/contacts.ts';
import type { BoardProfile, InputPin, OutputPin, WiredBoard } from './boards.ts';
import type { Finding } from './issues.ts';

/** What a board profile must not be: wiring that moves a leaf by itself or hides a broken wire. */
export function checkBoard(board: BoardProfile): Finding[] {
  if (board.type === 'simulated') return [];
  return [
    ...Object.entries(board.outputs).flatMap(([name, pin]) => outputFindings(board, name, pin)),
    ...Object.entries(board.inputs).flatMap(([name, pin]) => inputFindings(board, name, pin)),
    ...sharedPins(board),
    ...partedLeaves(board),
    ...busFindings(board),
  ];
}

/** An output that turns an actuator: a leaf's direction relay. */
export function isMotionOutput(name: string): boolean {
  return /\.(extend|retract)$/.test(name);
}

function fault(path: PropertyKey[], message: string, remedy: string): Finding {
  return { path, at: 'value', message, remedy };
}

/** Lines that the Pi pulls up at power-on, and those on which its console speaks while it boots. */
function bootsLive(line: number): boolean {
  return line <= 8 || line === 14 || line === 15;
}

function outputFindings(board: WiredBoard, name: string, pin: OutputPin): Finding[] {
  const path = ['outputs', name];
  if ('coil' in pin) {
    if (board.modbus === undefined) return [noSection(path, 'modbus', name)];
    return name === 'keepAlive'
      ? [
          fault(
            path,
            'the keep-alive cannot be on Modbus',
            'Put it on a GPIO line: its edges time the drop-out',
          ),
        ]
      : [];
  }
  if (board.gpio === undefined) return [noSection(path, 'gpio', name)];
  if (!isMotionOutput(name) && name !== 'keepAlive') return [];
  const found: Finding[] = [];
  if (bootsLive(pin.gpio))
    found.push(
      fault(
        [...path, 'gpio'],
        `GPIO${pin.gpio} is high or chatters while the Pi boots, so ${name} could go on by itself`,
        'Use GPIO9 to 13 or 16 to 27 with a pull-down',
      ),
    );
  if (pin.active === 'low' && !board.gpio.buffered)
    found.push(
      fault(
        [...path, 'active'],
        'an active-low relay can be on whenever the Pi boots or is off, and 3.3 V may not switch a 5 V input off',
        'Use an active-high board, or put a buffer with an enable between and write buffered: true',
      ),
    );
  return found;
}

function noSection(path: PropertyKey[], section: 'gpio' | 'modbus', name: string): Finding {
  const what = section === 'gpio' ? 'a GPIO line' : 'a Modbus address';
  return {
    path,
    at: 'value',
    message: `${name} is on ${what} but the profile has no "${section}:"`,
    remedy: section === 'gpio' ? 'Add gpio: with its chip' : 'Add modbus: with its unit',
  };
}

function inputFindings(board: WiredBoard, name: string, pin: InputPin): Finding[] {
  const path = ['inputs', name];
  const found: Finding[] = [];
  const section = 'gpio' in pin ? 'gpio' : 'modbus';
  if (board[section] === undefined) found.push(noSection(path, section, name));
  if (name === 'stopLoop' && !('gpio' in pin))
    found.push(
      fault(
        path,
        'the stop loop cannot be on Modbus',
        'Put it on a GPIO line: a pulse between polls must be seen',
      ),
    );
  if (isSafetyContact(name) && readsSafeWhenBroken(pin))
    found.push(
      fault(
        path,
        `a broken wire of ${name} would read as safe`,
        'Wire it live in its permissive state: active high with pull-down, or active low with pull-up',
      ),
    );
  if (isSafetyContact(name) && floatsWhenBroken(pin))
    found.push(
      fault(
        path,
        `a broken wire of ${name} would float and could read as safe`,
        `Write bias: ${pin.active === 'high' ? 'pull-down' : 'pull-up'}, or externalPull: true where a resistor pulls it to off`,
      ),
    );
  return found;
}

/** Whether the level that means "permitted" is the one that a loose wire falls to. */
function readsSafeWhenBroken(pin: InputPin): boolean {
  if (!('gpio' in pin)) return pin.active === 'low';
  return pin.bias === (pin.active === 'high' ? 'pull-up' : 'pull-down');
}

function floatsWhenBroken(pin: InputPin): boolean {
  return 'gpio' in pin && pin.bias === 'none' && pin.externalPull !== true;
}

/** The interlock's life of a sample, and the longest wait for an output to be read back, ms. */
const SAMPLE_LIFE_MS = 100;
const CONFIRM_MS = 250;
/** What a board is given to begin its answer, ms; common practice, no source. */
const TURN_ROUND_MS = 5;
/** A silence of 3.5 characters after the question and one after the answer. */
const GAP_BYTES = 7;

/** A bus on which inputs grow old or outputs are confirmed too late, and addresses with gaps. */
function busFindings(board: WiredBoard): Finding[] {
  if (board.modbus === undefined) return [];
  const coils = Object.values(board.outputs).flatMap((pin) => ('coil' in pin ? [pin.coil] : []));
  const contacts = Object.values(board.inputs).flatMap((pin) =>
    'discrete' in pin ? [pin.discrete] : [],
  );
  const gaps = [
    ...gapFindings('outputs', 'coils', coils),
    ...gapFindings('inputs', 'discrete inputs', contacts),
  ];
  const { baud, framing } = board.modbus;
  const msPerByte = ((9 + (framing[1] === 'N' ? 0 : 1) + Number(framing[2])) * 1000) / baud;
  const ask = (bytes: number): number => (bytes + GAP_BYTES) * msPerByte + TURN_ROUND_MS;
  const look = contacts.length === 0 ? 0 : ask(13 + Math.ceil(contacts.length / 8));
  const write = ask(17 + Math.ceil(coils.length / 8));
  const back = ask(13 + Math.ceil(coils.length / 8));
  // One change may find another under way, and what goes on waits for what goes off.
  const confirmed = Math.round(3 * (write + look + back + look));
  const oldest = Math.round(look + Math.max(write, back) + look);
  if (confirmed <= CONFIRM_MS && oldest <= SAMPLE_LIFE_MS) return gaps;
  const message = `the bus is too slow: outputs are read back after ${confirmed} ms at worst (${CONFIRM_MS} allowed), inputs are ${oldest} ms old (${SAMPLE_LIFE_MS} allowed)`;
  const remedy = 'Set the board to 38400 baud or more, and write the same here';
  return [...gaps, fault(['modbus', 'baud'], message, remedy)];
}

function gapFindings(group: 'outputs' | 'inputs', what: string, addresses: number[]): Finding[] {
  if (addresses.length === 0) return [];
  const span = Math.max(...addresses) - Math.min(...addresses) + 1;
  if (span <= addresses.length) return [];
  return [
    fault(
      [group],
      `the ${what} leave a gap between ${Math.min(...addresses)} and ${Math.max(...addresses)}`,
      'Wire them side by side: one message must reach all of them',
    ),
  ];
}

/** The dead time is only kept where one driver sees both directions go off. */
function partedLeaves(board: WiredBoard): Finding[] {
  return Object.entries(board.outputs).flatMap(([name, pin]) => {
    if (!name.endsWith('.extend')) return [];
    const opposite = name.replace('.extend', '.retract');
    const other = board.outputs[opposite];
    if (other === undefined || 'coil' in pin === 'coil' in other) return [];
    const message = `${name} and ${opposite} are one on a GPIO line and one on Modbus: the dead time between them could not be kept`;
    return [fault(['outputs', name], message, 'Put both directions of a leaf on the same board')];
  });
}

function sharedPins(board: WiredBoard): Finding[] {
  const all = (group: 'outputs' | 'inputs'): [string, string, OutputPin | InputPin][] =>
    Object.entries<OutputPin | InputPin>(board[group]).map(([name, pin]) => [group, name, pin]);
  const seen = new Map<string, string>();
  return [...all('outputs'), ...all('inputs')].flatMap(([group, name, pin]) => {
    const place = placeOf(pin);
    const other = seen.get(place);
    seen.set(place, name);
    return other === undefined
      ? []
      : [fault([group, name], `${name} and ${other} share ${place}`, 'Give each its own')];
  });
}

function placeOf(pin: OutputPin | InputPin): string {
  if ('gpio' in pin) return `GPIO${pin.gpio}`;
  return 'coil' in pin ? `coil ${pin.coil}` : `discrete input ${pin.discrete}`;
}
