/** What the parts of the hardware test share on any machine: checks and waiting. */

let failed = 0;

/** One line of the result; the run fails where `good` is false. */
export function check(good: boolean, what: string): void {
  if (!good) failed += 1;
  console.log(`${good ? 'ok  ' : 'FAIL'} ${what}`);
}

export const pause = (ms: number): Promise<void> => new Promise((go) => setTimeout(go, ms));

/** Waits until `ready`, looking about every 2 ms; false where it did not come to be. */
export async function until(ready: () => boolean, mostMs = 10_000): Promise<boolean> {
  const begin = performance.now();
  while (!ready()) {
    if (performance.now() - begin > mostMs) return false;
    await pause(2);
  }
  return true;
}

/** Says whether all was as it should be, and ends the process so. */
export function end(): never {
  console.log(failed === 0 ? 'all seen' : `${failed} not as they should be`);
  process.exit(failed === 0 ? 0 : 1);
}

/** Median, 90 % and worst of some times, whole ms. */
export function spread(times: number[]): string {
  const sorted = [...times].sort((a, b) => a - b);
  const at = (part: number): string =>
    (sorted[Math.round(part * (sorted.length - 1))] ?? NaN).toFixed(0);
  return `median ${at(0.5)}, 90 % ${at(0.9)}, worst ${at(1)} ms`;
}
