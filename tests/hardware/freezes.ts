/** The process stands still while a leaf is to move: what the wires do, and what happens after. */
import { moving, startService, stayedStill, wires, type Service } from './bench.ts';
import { check, pause, until } from './check.ts';
import { KEEP_ALIVE, MOTION } from './wiring.ts';

/**
 * When the freeze begins, ms after the first relay went on; before it: within the warning of 300 ms. A leaf's relay
 * is on for 1000 ms, then the other's.
 */
const PHASES = Array.from({ length: 14 }, (_, n) => -250 + 100 * n);
const WARNING_MS = 300;
const FREEZES_MS = [120, 300, 1000, 5000, 60_000];

export async function tryFreezes(): Promise<void> {
  // A service of its own for each length: its leaves' places are unknown, so it has strokes to make.
  for (const ms of FREEZES_MS) await tryFreeze(ms);
}

async function tryFreeze(ms: number): Promise<void> {
  let service = await startService();
  const seen: string[] = [];
  for (const phase of PHASES) {
    if (!(await strokeTo(service, phase))) {
      // Both leaves are known to be at home by now: one that knows nothing yet has strokes to make.
      service.process.kill('SIGTERM');
      await service.ended;
      service = await startService();
      await strokeTo(service, phase);
    }
    seen.push(await freeze(service, ms, phase));
  }
  const driven = seen.filter((at) => at.includes('1')).length;
  check(
    driven >= PHASES.length / 2,
    `frozen ${ms} ms: ${driven} of ${seen.length} with a relay on`,
  );
  service.tell({ do: 'start' });
  check(await stayedStill(1000), 'a start without clearing moves nothing');
  service.process.kill('SIGTERM');
  await service.ended;
}

/** A fresh start, and on to this phase of the stroke that it makes; false where it makes none. */
async function strokeTo(service: Service, phase: number): Promise<boolean> {
  for (const command of ['clear', 'start', 'confirm']) service.tell({ do: command });
  if (phase < 0) {
    await pause(WARNING_MS + phase);
    return true;
  }
  if (!(await until(moving, 2000))) return false;
  await pause(phase);
  return true;
}

/** Gives how the wires of the motion outputs stood meanwhile. */
async function freeze(service: Service, ms: number, phase: number): Promise<string> {
  service.process.kill('SIGSTOP');
  const frozen = wires(MOTION);
  const beats = wires([KEEP_ALIVE]);
  await pause(ms);
  const kept = wires(MOTION) === frozen && wires([KEEP_ALIVE]) === beats;
  service.process.kill('SIGCONT');
  const begin = performance.now();
  const off = await until(() => !moving(), 1000);
  const took = performance.now() - begin;
  const fault = await service.mode('fault');
  const still = await stayedStill(1200);
  const place = phase < 0 ? 'in the warning' : 'into a stroke';
  check(
    kept && off && fault && still && !(phase < 0 && frozen.includes('1')),
    `frozen ${ms} ms, ${Math.abs(phase)} ms ${place}: wires stood at ${frozen}, keep-alive silent, ` +
      `off ${took.toFixed(1)} ms after going on, still until a fresh start`,
  );
  return frozen;
}
