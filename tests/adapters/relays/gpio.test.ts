import { describe, expect, test } from 'vitest';
import { gpioBoard, type GpioWiring } from '../../../src/adapters/relays/gpio-board.ts';
import {
  IOCTL,
  LineError,
  requestBytes,
  type Edge,
  type Lines,
} from '../../../src/adapters/relays/gpio-lines.ts';

const wiring: GpioWiring = {
  chip: 'pinctrl-bcm2711',
  outputs: {
    'leafA.extend': { gpio: 17, active: 'high', bias: 'none', drive: 'push-pull' },
    keepAlive: { gpio: 24, active: 'high', bias: 'none', drive: 'push-pull' },
  },
  inputs: {
    frontShut: { gpio: 5, active: 'low', bias: 'pull-up' },
    stopLoop: { gpio: 12, active: 'low', bias: 'pull-up' },
  },
};

interface FakeLines extends Lines {
  levels: boolean[];
  waiting: Edge[];
  fails: boolean;
  open: boolean;
}

function fakeLines(levels: boolean[]): FakeLines {
  const lines: FakeLines = {
    levels,
    waiting: [],
    fails: false,
    open: true,
    read: () => {
      if (lines.fails) throw new LineError('GPIO_V2_LINE_GET_VALUES', 'EIO');
      return [...lines.levels];
    },
    write: (given) => {
      if (lines.fails) throw new LineError('GPIO_V2_LINE_SET_VALUES', 'EIO');
      // As the kernel has it.
      if (given.every((level) => level === null)) {
        throw new LineError('GPIO_V2_LINE_SET_VALUES', 'EINVAL');
      }
      lines.levels = lines.levels.map((before, i) => given[i] ?? before);
    },
    edges: () => lines.waiting.splice(0),
    close: () => {
      lines.open = false;
    },
  };
  return lines;
}

const edge = (on: boolean): Edge => ({ offset: 12, on });

test('nothing to write is taken, as when all outputs are let go after the service has died', () => {
  const outputs = fakeLines([false, false]);
  const board = gpioBoard(wiring, { outputs, inputs: null });
  expect(board.write({})).toBe(true);
  expect(board.write({ letGoLamp: true })).toBe(true);
  expect(outputs.levels).toEqual([false, false]);
});

describe('the stop loop between two looks', () => {
  const loop = (): { inputs: FakeLines; look: () => boolean | undefined } => {
    const inputs = fakeLines([true, true]);
    const board = gpioBoard(wiring, { outputs: null, inputs });
    return { inputs, look: () => board.read()?.['stopLoop'] };
  };

  test('a pulse reads as open once, then as it is', () => {
    const { inputs, look } = loop();
    expect(look()).toBe(true);
    inputs.waiting = [edge(false), edge(true)];
    expect([look(), look()]).toEqual([false, true]);
  });

  test('a pulse of which the kernel saw only the end reads as open too', () => {
    const { inputs, look } = loop();
    look();
    inputs.waiting = [edge(true)];
    expect([look(), look()]).toEqual([false, true]);
  });

  test('the one edge that brings it on is no stop; a bounce is', () => {
    const { inputs, look } = loop();
    inputs.levels = [true, false];
    expect(look()).toBe(false);
    inputs.levels = [true, true];
    inputs.waiting = [edge(true)];
    expect(look()).toBe(true);
    inputs.levels = [true, false];
    inputs.waiting = [edge(false)];
    expect(look()).toBe(false);
    inputs.levels = [true, true];
    inputs.waiting = [edge(true), edge(false), edge(true)];
    expect([look(), look()]).toEqual([false, true]);
  });
});

test('what the kernel refuses is null on reading and false on writing', () => {
  const outputs = fakeLines([false, false]);
  const inputs = fakeLines([true, true]);
  const board = gpioBoard(wiring, { outputs, inputs });
  expect(board.write({ 'leafA.extend': true, unknown: true })).toBe(true);
  outputs.fails = true;
  inputs.fails = true;
  expect(board.write({ 'leafA.extend': false })).toBe(false);
  expect(board.read()).toBeNull();
});

test('the keep-alive turns over and nothing else does; closing leaves all off', () => {
  const outputs = fakeLines([false, false]);
  const board = gpioBoard(wiring, { outputs, inputs: null });
  board.write({ 'leafA.extend': true });
  const seen = [1, 2, 3].map(() => {
    board.edge();
    return outputs.levels.join();
  });
  expect(seen).toEqual(['true,true', 'true,false', 'true,true']);
  board.close();
  expect(outputs.levels).toEqual([false, false]);
  expect(outputs.open).toBe(false);
});

describe('what the kernel is given', () => {
  // include/uapi/linux/gpio.h: GPIO_GET_CHIPINFO_IOCTL … GPIO_V2_LINE_SET_VALUES_IOCTL.
  test('numbers of the calls', () => {
    expect(Object.values(IOCTL).map((n) => n.toString(16))).toEqual([
      '8044b401',
      'c100b405',
      'c250b407',
      'c010b40e',
      'c010b40f',
    ]);
  });

  test('direction, polarity, bias and first level of each line in one request', () => {
    const bytes = requestBytes('fank', [
      { offset: 17, direction: 'output', active: 'high', bias: 'none', on: false },
      { offset: 9, direction: 'output', active: 'low', bias: 'none', on: true },
      { offset: 5, direction: 'input', active: 'low', bias: 'pull-up', edges: true },
    ]);
    expect(bytes.length).toBe(592);
    expect([0, 4, 8].map((at) => bytes.readUInt32LE(at))).toEqual([17, 9, 5]);
    expect(bytes.toString('latin1', 256, 261)).toBe('fank\0');
    expect(bytes.readUInt32LE(560)).toBe(3);
    expect(bytes.readUInt32LE(288 + 8)).toBe(4);
    const attribute = (i: number): number[] => {
      const at = 288 + 32 + i * 24;
      return [
        bytes.readUInt32LE(at),
        Number(bytes.readBigUInt64LE(at + 8)),
        Number(bytes.readBigUInt64LE(at + 16)),
      ];
    };
    // 1 flags, 2 values; output 8, no bias 1024, active low 2, input 4, edges 16 and 32, pull-up 256.
    expect([0, 1, 2, 3].map(attribute)).toEqual([
      [1, 8 + 1024, 0b001],
      [1, 8 + 1024 + 2, 0b010],
      [1, 4 + 2 + 256 + 16 + 32, 0b100],
      [2, 0b010, 0b011],
    ]);
  });

  test('more kinds of line than one request holds are refused in words', () => {
    const biases = ['none', 'pull-up', 'pull-down'] as const;
    const drives = ['push-pull', 'open-drain', 'open-source'] as const;
    const wishes = biases.flatMap((bias) =>
      drives.flatMap((drive) =>
        (['high', 'low'] as const).map((active, i) => ({
          offset: i,
          direction: 'output' as const,
          active,
          bias,
          drive,
        })),
      ),
    );
    expect(() => requestBytes('fank', wishes)).toThrow('too many different ways');
  });
});
