/**
 * The whole daemon, compiled, on the real board driver: weigh head, records whose commits take 2 s more, and the
 * page out of a million rows. Commands come on stdin as for `service.ts`.
 */
import { readFileSync } from 'node:fs';
import { createInterface } from 'node:readline';
import type * as Clocks from '../../src/adapters/clock/clock.ts';
import type * as Boards from '../../src/adapters/relays/create.ts';
import type * as Sites from '../../src/config/load.ts';
import type { Config } from '../../src/core/step.ts';
import type { Command } from '../../src/core/trace.ts';
import type * as Daemons from '../../src/daemon.ts';
import { BOARD } from './wiring.ts';

const DIST = '/d/dist/src';
const { startDaemon } = (await import(`${DIST}/daemon.js`)) as typeof Daemons;
const { createBoard } = (await import(`${DIST}/adapters/relays/create.js`)) as typeof Boards;
const { startClock } = (await import(`${DIST}/adapters/clock/clock.js`)) as typeof Clocks;
const { loadSite } = (await import(`${DIST}/config/load.js`)) as typeof Sites;

const say = (value: unknown): boolean => process.stdout.write(`${JSON.stringify(value)}\n`);
const config = JSON.parse(readFileSync('/t/config.json', 'utf8')) as Config;
const site = loadSite('/d/site', { board: 'simulated' });
if (!site.ok) throw new Error('the site does not load');
const daemon = await startDaemon({
  site: site.value,
  facts: { listOf: () => null, treatments: [] },
  config,
  version: '0',
  clock: startClock(),
  board: createBoard(BOARD, { inputs: config.inputs, port: null, deadTimeMs: 250, say }),
  scalePort: process.argv[2] ?? '',
  page: { host: '127.0.0.1', port: 8080 },
  say,
  slowRecordsMs: 2000,
});
const { loop, records } = daemon;
loop.onEvents((events) => {
  for (const event of events) if (/^(mode|fault|let-go)/.test(event.kind)) say(event);
});
records.onSaved((_session, animal) => say({ kind: 'saved', animal }));
createInterface({ input: process.stdin }).on('line', (line) => {
  const answer = loop.command(JSON.parse(line) as Command);
  if (!answer.ok) say({ kind: 'refused', reason: answer.reason });
});
const turn = (): void => {
  loop.pump();
  setTimeout(turn, loop.untilTick());
};
process.once('SIGTERM', () => {
  void daemon.close().then(() => process.exit(0));
});
turn();
say({ kind: 'ready' });
