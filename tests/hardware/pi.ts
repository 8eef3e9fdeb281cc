/**
 * Runs on the emulated Pi: the golden trace on arm64, and the board driver on the Pi's own GPIO driver, killed
 * with a relay on.
 */
import { spawn, spawnSync } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { createInterface } from 'node:readline';
import { createBoard } from '../../src/adapters/relays/create.ts';
import { hashOfRun } from '../golden/hash.ts';
import { check, end } from './check.ts';
import { BOARD, KEEP_ALIVE, MOTION } from './wiring.ts';

const board = { ...BOARD, gpio: { chip: 'pinctrl-bcm2835', buffered: false } };
const open = () =>
  createBoard(board, {
    inputs: Object.keys(BOARD.inputs),
    port: null,
    deadTimeMs: 250,
    say: console.log,
  });

/** What the processor's registers say of a line (BCM2835 ARM Peripherals, chapter 6): its direction, its level. */
function line(gpio: number): string {
  const select = register(0x3f20_0000 + 4 * Math.floor(gpio / 10));
  const output = ((select >>> (3 * (gpio % 10))) & 7) === 1;
  const high = ((register(0x3f20_0034) >>> gpio) & 1) === 1;
  return `${output ? 'output' : 'input'} ${high ? 'high' : 'low'}`;
}

function register(address: number): number {
  const { stdout } = spawnSync('devmem', [`0x${address.toString(16)}`], { encoding: 'utf8' });
  return Number(stdout.trim());
}

/** A process that holds the lines with one relay on, until it is killed. */
function hold(): void {
  const held = open();
  held.write({ 'leafA.extend': true });
  console.log('holding');
  setInterval(() => held.edge(), 20);
}

async function tryLines(): Promise<void> {
  const name = '/sys/module/pinctrl_bcm2835/parameters/persist_gpio_outputs';
  const kept = readFileSync(name, 'utf8').trim() === 'Y';
  const child = spawn(process.execPath, ['/t/pi.mjs', 'hold'], {
    stdio: ['ignore', 'pipe', 'inherit'],
  });
  await new Promise<void>((ready) => {
    createInterface({ input: child.stdout }).on('line', (text) => {
      if (text === 'holding') ready();
      else console.log(text);
    });
  });
  const [relay = 0, ...others] = MOTION;
  check(line(relay) === 'output high', `the relay that is on: ${line(relay)}`);
  const off = others.map(line);
  check(
    off.every((said) => said === 'output low'),
    `the others: ${off.join(', ')}`,
  );
  const seen = new Set<string>();
  for (let look = 0; look < 40; look += 1) seen.add(line(KEEP_ALIVE));
  check(seen.size === 2, `the keep-alive’s line: ${[...seen].sort().join(', ')}`);
  const ended = new Promise((done) => child.once('exit', done));
  child.kill('SIGKILL');
  await ended;
  const left = line(relay);
  check(
    left.startsWith(kept ? 'output high' : 'input'),
    `killed, outputs ${kept ? 'kept' : 'not kept'} by the driver: ${left}`,
  );
  await open().close();
  check(!line(relay).endsWith('high'), `   then claimed and given back: ${line(relay)}`);
}

if (process.argv[2] === 'hold') hold();
else {
  const { hash, items } = hashOfRun('/t/race.trace.ndjson');
  const same = hash === readFileSync('/t/race.sha256', 'utf8').trim();
  check(same, `${process.arch}, Node ${process.version}: golden trace, ${items} items, ${hash}`);
  await tryLines();
  end();
}
