/** The keep-alive, timed from outside the process; and the stop loop's short pulse through the loop. */
import { contact, startService, wire } from './bench.ts';
import { check, pause, until } from './check.ts';
import { KEEP_ALIVE } from './wiring.ts';

const WATCHED_MS = Number(process.env['BEATS_MS'] ?? 60_000);

export async function tryBeats(): Promise<void> {
  const service = await startService();
  const silent = await edges(500);
  check(silent.length === 0, 'the keep-alive is silent before a start');
  service.tell({ do: 'start' });
  service.tell({ do: 'confirm' });
  await service.mode('running');
  const gaps = await edges(WATCHED_MS);
  gaps.sort((a, b) => a - b);
  const at = (part: number): string =>
    (gaps[Math.min(gaps.length - 1, Math.floor(part * gaps.length))] ?? NaN).toFixed(1);
  check(
    gaps.length > WATCHED_MS / 40 && Number(at(1)) <= 100,
    `keep-alive from outside for ${WATCHED_MS / 1000} s: ${gaps.length} edges, apart p50 ${at(0.5)} p99 ${at(0.99)} worst ${at(1)} ms`,
  );
  contact('stopLoop', false);
  await pause(5);
  contact('stopLoop', true);
  const stopped = await service.mode('fault');
  const fault = service.said.find((one) => one.fault === 'stop-pressed');
  check(stopped && fault !== undefined, 'a 5 ms pulse of the stop loop latches stop-pressed');
  check((await edges(500)).length === 0, 'and silences the keep-alive');
  service.process.kill('SIGTERM');
  await service.ended;
}

/** Times between edges of the keep-alive's wire, ms; looked at about every 2 ms. */
async function edges(ms: number): Promise<number[]> {
  const gaps: number[] = [];
  const begin = performance.now();
  let level = wire(KEEP_ALIVE);
  let last: number | null = null;
  await until(() => {
    const now = performance.now();
    const seen = wire(KEEP_ALIVE);
    if (seen !== level) {
      if (last !== null) gaps.push(now - last);
      last = now;
      level = seen;
    }
    return now - begin >= ms;
  }, ms + 1000);
  return gaps;
}
