import type { Board } from './board.ts';

/** A board with nothing behind it but two maps: what the race shows, and what was asked of the gate. */
export interface SimulatedBoard extends Board {
  /** Levels that `read` gives; the simulator sets them. */
  shown: Record<string, boolean>;
  /** Levels that were written last. */
  written: Record<string, boolean>;
  /** Edges of the keep-alive so far. */
  edges: number;
}

/** Creates a simulated board with these inputs, all off. */
export function createSimulatedBoard(inputs: string[]): SimulatedBoard {
  const board: SimulatedBoard = {
    inputs,
    shown: Object.fromEntries(inputs.map((name) => [name, false])),
    written: {},
    edges: 0,
    read: () => ({ ...board.shown }),
    write: (levels) => {
      Object.assign(board.written, levels);
      return true;
    },
    edge: () => {
      board.edges += 1;
    },
    volts: () => null,
    close: () => {
      for (const name of Object.keys(board.written)) board.written[name] = false;
    },
  };
  return board;
}
