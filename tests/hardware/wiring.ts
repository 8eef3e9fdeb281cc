import type { WiredBoard } from '../../src/config/boards.ts';

const out = (gpio: number): WiredBoard['outputs'][string] => ({
  gpio,
  active: 'high',
  bias: 'none',
  drive: 'push-pull',
});
const contact = (gpio: number): WiredBoard['inputs'][string] => ({
  gpio,
  active: 'low',
  bias: 'pull-up',
});

/** The shipped board for the Pi's own lines, on the simulated chip. */
export const BOARD: WiredBoard = {
  kind: 'board',
  name: 'Simulated chip of the kernel',
  about: 'Lines as on the Pi',
  type: 'wired',
  gpio: { chip: 'gate-sim', buffered: false },
  outputs: {
    'leafA.extend': out(17),
    'leafA.retract': out(27),
    'leafB.extend': out(22),
    'leafB.retract': out(23),
    keepAlive: out(24),
    letGoLamp: out(25),
    sounder: { gpio: 9, active: 'low', bias: 'none', drive: 'push-pull' },
  },
  inputs: {
    frontShut: contact(5),
    laneClear: contact(6),
    stopLoop: contact(12),
    actuatorPower: contact(13),
  },
};

export const MOTION = [17, 27, 22, 23];
export const KEEP_ALIVE = 24;
export const SOUNDER = 9;
export const CONTACTS = { frontShut: 5, laneClear: 6, stopLoop: 12, actuatorPower: 13 };
