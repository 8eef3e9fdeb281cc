/**
 * Runs inside the virtual machine: the whole daemon, compiled, with its weigh head over the air from the other
 * controller. Lambs pass; between them the head is lost and comes back. What counts is that the loop goes on beside
 * the radio.
 */
import type * as Clocks from '../../src/adapters/clock/clock.ts';
import type * as Boards from '../../src/adapters/relays/simulated.ts';
import type * as Sites from '../../src/config/load.ts';
import type { Event } from '../../src/core/trace.ts';
import type * as Daemons from '../../src/daemon.ts';
import { startHead } from './bluetooth-peer.ts';
import { HEAD_NAME } from './bluetooth-wiring.ts';
import { check, end, pause, until } from './check.ts';

const DIST = '/d/dist/src';
const { startDaemon } = (await import(`${DIST}/daemon.js`)) as typeof Daemons;
const boards = (await import(`${DIST}/adapters/relays/simulated.js`)) as typeof Boards;
const { startClock } = (await import(`${DIST}/adapters/clock/clock.js`)) as typeof Clocks;
const { loadSite } = (await import(`${DIST}/config/load.js`)) as typeof Sites;

const LAMBS = 12;
const loaded = loadSite('/tmp/site', { board: 'simulated' });
if (!loaded.ok) throw new Error('the new site does not load');
const { value } = loaded;
const scale = {
  ...value.site.scale,
  bluetooth: { name: HEAD_NAME, adapter: 0, silenceMs: 2000 },
};
const leaves = value.config.gate.leaves.map((leaf) => ({ ...leaf, duty: null }));
const gate = { ...value.config.gate, leaves };
const board = boards.createSimulatedBoard(['frontShut']);
board.shown = { frontShut: true };
const edges: number[] = [];
board.edge = () => edges.push(performance.now());

let head = await startHead();
head.tell('load 0');
const notes: unknown[] = [];
const daemon = await startDaemon({
  site: { ...value, site: { ...value.site, scale }, ports: { ...value.ports, scale: null } },
  facts: { listOf: () => null, treatments: [] },
  config: { ...value.config, inputs: ['frontShut'], gate, keepAliveProved: true },
  version: '0',
  clock: startClock(),
  board,
  page: { host: '127.0.0.1', port: 8080 },
  say: (text) => notes.push(text),
});
const { loop } = daemon;
const events: Event[] = [];
loop.onEvents((some) => events.push(...some));
const turn = (): void => {
  loop.pump();
  setTimeout(turn, loop.untilTick());
};
turn();

/** Whoever stands there clears, starts and looks, as often as it takes. */
function attend(): boolean {
  const { mode } = loop.state.cycle;
  if (mode === 'fault') loop.command({ do: 'clear' });
  if (mode === 'stopped') loop.command({ do: 'start' });
  if (loop.state.gate.laneNeedsConfirm) loop.command({ do: 'confirm' });
  return mode === 'running';
}

const fresh = (): boolean => loop.last?.weighing.fresh === true;
const letGo = (): number => events.filter(({ kind }) => kind === 'let-go').length;

check(await until(fresh, 60_000), 'the daemon reads the weigh head over the air');
check(await until(() => loop.last?.weighing.zeroKnown === true, 30_000), 'zero is known');
const from = { ticks: loop.counts.ticks, late: loop.counts.late };
let back = 0;
for (let lamb = 0; lamb < LAMBS; lamb++) {
  await until(attend, 20_000);
  head.tell(`load ${String([35, 44][lamb % 2])}`);
  const before = letGo();
  await until(() => attend() && letGo() > before, 20_000);
  board.shown = { frontShut: false };
  await pause(700);
  head.tell('load 0');
  await pause(700);
  board.shown = { frontShut: true };
  await until(attend, 20_000);
  if (lamb % 3 !== 2) continue;
  // Between two lambs it is lost: told to go, or dead at once.
  if (lamb % 2 === 0) head.tell('drop');
  else {
    await head.die();
    head = await startHead();
    head.tell('load 0');
  }
  await until(() => !fresh(), 10_000);
  if (await until(fresh, 30_000)) back += 1;
}
const gaps = edges
  .slice(1)
  .map((at, i) => at - (edges[i] ?? at))
  .sort((a, b) => a - b);
const at = (part: number): string =>
  (gaps[Math.min(gaps.length - 1, Math.floor(part * gaps.length))] ?? NaN).toFixed(1);
const faults = events.flatMap((one) => (one.kind === 'fault' && one.on ? [one.fault] : []));
const wrong = faults.filter((fault) => !['scale-lost', 'tick-late', 'inputs-lost'].includes(fault));
check(
  letGo() === LAMBS && back === LAMBS / 3,
  `${letGo()} of ${LAMBS} lambs let go by weight over the air; the head came back ${back} of ${LAMBS / 3} times`,
);
check(wrong.length === 0, `faults beside those of a lost head and a late tick: ${wrong.join()}`);
// On one emulated processor the head, the radio and the daemon share what a Pi's four would have: said, not judged.
console.log(
  `     ${loop.counts.ticks - from.ticks} ticks, ${loop.counts.late - from.late} late by more than a tick; ` +
    `keep-alive apart p50 ${at(0.5)} p99 ${at(0.99)} ms; tick-late ${faults.filter((one) => one === 'tick-late').length} times`,
);
for (const note of new Set(notes.map(String))) console.log(`     ${note}`);
await daemon.close();
await head.die();
end();
