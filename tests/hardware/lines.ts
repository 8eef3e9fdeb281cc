/** Lines of a real kernel driver: levels, polarity, bias, lines in use, edges between two looks. */
import { createBoard } from '../../src/adapters/relays/create.ts';
import { contact, pull, wire, wires } from './bench.ts';
import { check, pause } from './check.ts';
import { BOARD, CONTACTS, KEEP_ALIVE, MOTION, SOUNDER } from './wiring.ts';

const options = {
  inputs: Object.keys(BOARD.inputs),
  port: null,
  deadTimeMs: 250,
  say: console.log,
};

function refusal(board: typeof BOARD): string {
  try {
    void createBoard(board, options).close();
    return '';
  } catch (error) {
    return (error as Error).message;
  }
}

export async function tryLines(): Promise<void> {
  for (const n of MOTION) pull(n, true);
  const board = createBoard(BOARD, options);
  check(wires(MOTION) === '0000', `outputs off as soon as claimed, on pulled-up wires too`);
  check(wire(SOUNDER), 'an active-low output is off with its wire high');
  board.write({ 'leafA.extend': true, 'leafB.retract': true, sounder: true });
  check(wires(MOTION) === '1001' && !wire(SOUNDER), `levels by name: ${wires(MOTION)}`);
  board.write({ 'leafA.extend': false });
  check(wires(MOTION) === '0001', 'a level not given stays');
  const beats = [0, 1, 2].map(() => {
    board.edge();
    return wire(KEEP_ALIVE);
  });
  check(beats.join() === 'true,false,true', 'each edge turns the keep-alive’s wire over');

  check(
    Object.values(board.read() ?? {}).every((on) => !on),
    'a loose wire reads as off: the pull-up reaches the line',
  );
  for (const name of ['frontShut', 'laneClear', 'stopLoop'] as const) contact(name, true);
  const read = board.read();
  check(
    read?.['frontShut'] === true && read['actuatorPower'] === false,
    'closed contacts read as on',
  );
  await tryStopLoop(board);

  const taken = refusal(BOARD);
  check(/leafA\.extend \(GPIO17\) by fank/.test(taken), `line in use: "${taken}"`);
  const elsewhere = refusal({ ...BOARD, gpio: { chip: 'no-such-chip', buffered: false } });
  check(/There are: .*gate-sim/.test(elsewhere), `other chip: "${elsewhere}"`);
  measure(board);
  board.write({ 'leafA.extend': true });
  await board.close();
  for (const n of MOTION) pull(n, false);
}

async function tryStopLoop(board: ReturnType<typeof createBoard>): Promise<void> {
  board.read();
  check(board.read()?.['stopLoop'] === true, 'the stop loop reads as healthy once it was seen so');
  let seen = 0;
  for (let i = 0; i < 20; i++) {
    contact('stopLoop', false);
    await pause(5);
    contact('stopLoop', true);
    if (board.read()?.['stopLoop'] === false) seen += 1;
    if (board.read()?.['stopLoop'] === false) seen += 100;
  }
  check(
    seen === 20,
    `a 5 ms pulse of the stop loop between two looks is seen, once: ${seen} of 20`,
  );
  for (let i = 0; i < 200; i++) pull(CONTACTS.stopLoop, i % 2 === 0);
  const storm = [board.read(), board.read()].map((one) => one?.['stopLoop']);
  check(storm.join() === 'false,true', '200 edges between two looks are one stop');
}

function measure(board: ReturnType<typeof createBoard>): void {
  const each = (times: number, call: () => void): string => {
    const begin = performance.now();
    for (let i = 0; i < times; i++) call();
    return ((1000 * (performance.now() - begin)) / times).toFixed(0);
  };
  const reads = each(1000, () => board.read());
  const writes = each(1000, () => board.write({ letGoLamp: true }));
  console.log(
    `     one read of all inputs ${reads} µs, one write ${writes} µs (emulated processor)`,
  );
}
