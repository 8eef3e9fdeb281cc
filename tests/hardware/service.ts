/**
 * The service's loop on the real board driver, with nothing else of the daemon: commands come on
 * stdin, one JSON object a line; modes, faults and strokes go to stdout.
 */
import { readFileSync } from 'node:fs';
import { createInterface } from 'node:readline';
import { startClock } from '../../src/adapters/clock/clock.ts';
import { createBoard } from '../../src/adapters/relays/create.ts';
import type { Config } from '../../src/core/step.ts';
import type { Command } from '../../src/core/trace.ts';
import { Loop } from '../../src/loop.ts';
import { BOARD } from './wiring.ts';

const config = JSON.parse(readFileSync('/t/config.json', 'utf8')) as Config;
const say = (value: unknown): boolean => process.stdout.write(`${JSON.stringify(value)}\n`);
const board = createBoard(BOARD, { inputs: config.inputs, port: null, deadTimeMs: 250, say });
const loop = new Loop({ config, version: '0', clock: startClock(), board, session: 'a' });
loop.onEvents((events) => {
  for (const event of events) if (/^(mode|fault|stroke)/.test(event.kind)) say(event);
});
createInterface({ input: process.stdin }).on('line', (line) => {
  const answer = loop.command(JSON.parse(line) as Command);
  if (!answer.ok) say({ kind: 'refused', reason: answer.reason });
});
const turn = (): void => {
  loop.pump();
  setTimeout(turn, loop.untilTick());
};
process.once('SIGTERM', () => {
  void Promise.resolve(board.close()).then(() => process.exit(0));
});
turn();
say({ kind: 'ready' });
