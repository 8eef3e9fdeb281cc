import type { EventEmitter } from 'node:events';

const ANSWERS_MS = 3000;

/**
 * Waits for an event whose arguments are as wanted; rejects after `mostMs`. Listen before asking.
 */
export function answer(
  from: EventEmitter,
  event: string,
  fits: (...given: unknown[]) => boolean,
  mostMs = ANSWERS_MS,
): Promise<unknown[]> {
  const { promise, resolve, reject } = withResolvers<unknown[]>();
  const listen = (...given: unknown[]): void => {
    if (fits(...given)) resolve(given);
  };
  const timer = setTimeout(() => reject(new Error(`no ${event} in ${mostMs} ms`)), mostMs);
  from.on(event, listen);
  const over = (): void => {
    clearTimeout(timer);
    from.removeListener(event, listen);
  };
  promise.then(over, over);
  return promise;
}

function withResolvers<T>(): {
  promise: Promise<T>;
  resolve: (value: T) => void;
  reject: (error: Error) => void;
} {
  let resolve: (value: T) => void = () => undefined;
  let reject: (error: Error) => void = () => undefined;
  const promise = new Promise<T>((yes, no) => {
    resolve = yes;
    reject = no;
  });
  return { promise, resolve, reject };
}
