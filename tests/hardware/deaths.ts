/** What is left on the wires by each way of dying, and what a stop program does about it. */
import { createBoard } from '../../src/adapters/relays/create.ts';
import { keepOutputs, moving, startService, wires, type Service } from './bench.ts';
import { check, until } from './check.ts';
import { BOARD, MOTION } from './wiring.ts';

/** A service with a leaf's relay on. */
export async function driving(): Promise<Service> {
  const service = await startService();
  service.tell({ do: 'start' });
  service.tell({ do: 'confirm' });
  if (!(await until(moving))) {
    check(false, `a leaf moves after a start: ${JSON.stringify(service.said)}`);
  }
  return service;
}

export async function tryDeaths(): Promise<void> {
  for (const keep of [true, false]) {
    keepOutputs(keep);
    const kernel = keep ? 'outputs kept' : 'outputs not kept';
    for (const signal of ['SIGKILL', 'SIGSEGV', 'SIGTERM'] as const) {
      const service = await driving();
      const before = wires(MOTION);
      service.process.kill(signal);
      await service.ended;
      const after = wires(MOTION);
      const meant = keep && signal !== 'SIGTERM' ? before : '0000';
      check(after === meant, `${kernel}, ${signal}: motion outputs ${before} -> ${after}`);
      if (after === '0000') continue;
      const options = { inputs: [], port: null, deadTimeMs: 250, say: console.log };
      await createBoard(BOARD, options).close();
      check(wires(MOTION) === '0000', `     then claimed and given back: ${wires(MOTION)}`);
    }
  }
  keepOutputs(false);
}
