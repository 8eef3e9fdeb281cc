/** The board: its lines free, its answer, and how its inputs stand at rest. Everything is let go again. */
import { setTimeout as sleep } from 'node:timers/promises';
import type { Board } from '../adapters/relays/board.ts';
import { isSafetyContact } from '../core/contacts/contacts.ts';
import type { ResolvedSite } from '../config/load.ts';
import { bad, good, unseen, type Check } from './check-line.ts';
import { openBoard } from './open-board.ts';

/** A Modbus board gets so long to answer, and then the inputs are watched for so long, ms. */
const PATIENCE_MS = 2000;
const WATCH_MS = 1000;
const LOOK_MS = 20;

/**
 * Claims the board with every output off, as at any start of the service, and reads it.
 * @param holder who holds the site folder now; its board is left alone.
 */
export async function* boardChecks(
  site: ResolvedSite,
  holder: string | null,
  open: (site: ResolvedSite) => Board = openBoard,
  wait: (ms: number) => Promise<unknown> = sleep,
): AsyncGenerator<Check> {
  const name = site.site.profiles.board;
  if (site.boardProfile.type === 'simulated') {
    yield good('board', `${name}: no wires, nothing is driven`);
    return;
  }
  if (holder !== null) {
    yield unseen(
      'board',
      `${name}: the running service holds its lines; the page shows its inputs`,
    );
    return;
  }
  let board: Board;
  try {
    board = open(site);
  } catch (error) {
    const [said = '', ...remedy] = (error as Error).message.split(/(?<=[.]) /);
    yield bad('board', said.replace(/[.]$/, ''), remedy.join(' '));
    return;
  }
  try {
    yield* watched(name, board, wait);
  } finally {
    await board.close();
  }
}

async function* watched(
  name: string,
  board: Board,
  wait: (ms: number) => Promise<unknown>,
): AsyncGenerator<Check> {
  const first = await answer(board, wait);
  if (first === null) {
    yield bad(
      'board',
      `${name} does not answer`,
      'Check its supply, its address, its speed and A and B.',
    );
    return;
  }
  yield good('board', `${name}: lines free, inputs read, every output off`);
  const changes: Record<string, number> = {};
  let read = first;
  for (let waited = 0; waited < WATCH_MS; waited += LOOK_MS) {
    await wait(LOOK_MS);
    const next: Record<string, boolean> = board.read() ?? read;
    for (const [input, on] of Object.entries(next)) {
      if (on !== read[input]) changes[input] = (changes[input] ?? 0) + 1;
    }
    read = next;
  }
  yield atRest(read, changes);
  const volts = board.volts();
  if (volts !== null) yield good('battery', `${volts.toFixed(2)} V with nothing moving`);
}

async function answer(
  board: Board,
  wait: (ms: number) => Promise<unknown>,
): Promise<Record<string, boolean> | null> {
  for (let waited = 0; ; waited += LOOK_MS) {
    const read = board.read();
    if (read !== null || waited >= PATIENCE_MS) return read;
    await wait(LOOK_MS);
  }
}

/** With nobody in the gate and nothing fed, this is how each input should stand. */
function atRest(levels: Record<string, boolean>, changes: Record<string, number>): Check {
  const restless = Object.entries(changes).map(
    ([name, times]) => `${name} changed ${times} time(s)`,
  );
  const off = Object.keys(levels).filter(
    (name) => isSafetyContact(name) && name !== 'actuatorPower' && levels[name] !== true,
  );
  const pressed = Object.keys(levels).filter(
    (name) => /Button/.test(name) && levels[name] === true,
  );
  const live = levels['actuatorPower'] === true ? ['actuatorPower on with no keep-alive'] : [];
  const wrong = [
    ...restless,
    ...off.map((name) => `${name} off`),
    ...pressed.map((name) => `${name} pressed`),
    ...live,
  ];
  const said = Object.entries(levels).map(([name, on]) => `${name} ${on ? 'on' : 'off'}`);
  if (wrong.length === 0) return good('inputs at rest', said.join(', '));
  const remedy =
    live.length > 0
      ? 'The drop-out relay did not fall: disconnect the battery and look at it first.'
      : 'Shut the front, clear the lane, release the stop; then look at that wire.';
  return bad('inputs at rest', wrong.join(', '), remedy);
}
