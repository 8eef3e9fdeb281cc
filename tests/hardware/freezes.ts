/** The process stands still while a leaf is to move: what the wires do, and what happens after. */
import { moving, startService, stayedStill, wires, type Service } from './bench.ts';
import { check, pause, until } from './check.ts';
import { KEEP_ALIVE, MOTION } from './wiring.ts';

/**
 * When the freeze begins, ms after the first relay went on; before it: within the warning of 300 ms. The two
 * leaves' relays are on from 0 to 1000 and from 100 to 1100 ms, so every 50 ms is every phase of the stroke.
 */
const PHASES = Array.from({ length: 28 }, (_, n) => -250 + 50 * n);
const WARNING_MS = 300;
const FREEZES_MS = [120, 300, 1000, 5000, 60_000];

export async function tryFreezes(): Promise<void> {
  // A service of its own for each length: its leaves' places are unknown, so it has strokes to make.
  for (const ms of FREEZES_MS) await tryFreeze(ms);
}

async function tryFreeze(ms: number): Promise<void> {
  const service = await startService();
  for (const phase of PHASES) {
    await strokeTo(service, phase);
    await freeze(service, ms, phase);
  }
  service.tell({ do: 'start' });
  check(await stayedStill(1000), 'a start without clearing moves nothing');
  service.process.kill('SIGTERM');
  await service.ended;
}

/** A fresh start, and on to this phase of the stroke that it makes. */
async function strokeTo(service: Service, phase: number): Promise<void> {
  for (const command of ['clear', 'start', 'confirm']) service.tell({ do: command });
  const begin = performance.now();
  if (phase < 0) await pause(WARNING_MS + phase);
  else {
    await until(moving);
    await pause(phase);
  }
  if (phase < 0 && moving()) check(false, `no warning: ${performance.now() - begin} ms`);
}

async function freeze(service: Service, ms: number, phase: number): Promise<void> {
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
    frozen.includes('1') === phase >= 0 && kept && off && fault && still,
    `frozen ${ms} ms, ${Math.abs(phase)} ms ${place}: wires stood at ${frozen}, keep-alive silent, ` +
      `off ${took.toFixed(1)} ms after going on, still until a fresh start`,
  );
}
