/** Monotonic ms of the system: the same in every thread, which `performance.now` is not. */
export function sharedMs(): number {
  return Number(process.hrtime.bigint() / 1000n) / 1000;
}
