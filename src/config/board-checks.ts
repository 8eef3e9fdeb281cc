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
  if (isMotionOutput(name) && pin.active === 'low' && !board.gpio.buffered)
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
  return found;
}

/** Whether the level that means "permitted" is the one that a loose wire falls to. */
function readsSafeWhenBroken(pin: InputPin): boolean {
  if (!('gpio' in pin)) return pin.active === 'low';
  return pin.bias === (pin.active === 'high' ? 'pull-up' : 'pull-down');
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
