/** The process stands still while a leaf is to move: what the wires do, and what happens after. */
import { moving, startService, stayedStill, wires } from './bench.ts';
import { check, pause, until } from './check.ts';
import { KEEP_ALIVE, MOTION } from './wiring.ts';

/** When the freeze begins, ms after the relay went on; before it: within the warning. */
const PHASES = [-100, 20, 400, 900];
const FREEZES_MS = [120, 300, 1000, 5000];

export async function tryFreezes(): Promise<void> {
  // A service of its own for each length: its leaves' places are unknown, so it has strokes to make.
  for (const ms of FREEZES_MS) await tryFreeze(ms);
}

async function tryFreeze(ms: number): Promise<void> {
  const service = await startService();
  const stroke = async (phase: number): Promise<void> => {
    service.tell({ do: 'clear' });
    service.tell({ do: 'start' });
    service.tell({ do: 'confirm' });
    if (phase < 0) await pause(200);
    else {
      await until(moving);
      await pause(phase);
    }
  };
  for (const phase of PHASES) {
    await stroke(phase);
    service.process.kill('SIGSTOP');
    const frozen = wires(MOTION);
    const asMeant = frozen.includes('1') === phase >= 0;
    const beats = wires([KEEP_ALIVE]);
    await pause(ms);
    const kept = wires(MOTION) === frozen && wires([KEEP_ALIVE]) === beats;
    service.process.kill('SIGCONT');
    const begin = performance.now();
    const off = await until(() => !moving(), 1000);
    const took = performance.now() - begin;
    const fault = await service.mode('fault');
    const still = await stayedStill(1200);
    const what = `frozen ${ms} ms, ${phase < 0 ? 'in the warning' : `${phase} ms into a stroke`}`;
    check(
      asMeant && kept && off && fault && still,
      `${what}: wires stood at ${frozen}, keep-alive silent, off ${took.toFixed(1)} ms after going on, still until a fresh start`,
    );
  }
  service.tell({ do: 'start' });
  check(await stayedStill(1000), 'a start without clearing moves nothing');
  service.process.kill('SIGTERM');
  await service.ended;
}
