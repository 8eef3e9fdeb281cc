/** One press of a hold-to-run button: renewed with the server's nonces while the finger is on it. */
import type { Held, Refusal } from '../../adapters/page/contracts.ts';
import { post } from '../api.ts';

/** A renewal so often, ms: two may be lost in the 150 ms that one is worth. */
const EVERY_MS = 60;
/** An answer that is not there by then comes too late anyway, ms. */
const PATIENCE_MS = 600;

/**
 * Renews until `still` says that the finger has gone. Null: it ended with the finger; else why it
 * ended before. Nothing is ever sent for a finger that is not on the button.
 */
export async function press(
  output: string,
  still: () => boolean,
): Promise<{ refusal: Refusal | null } | null> {
  let answer = await post<Held>('/api/hold', { output }, PATIENCE_MS);
  while (still()) {
    if (!answer.ok) return { refusal: answer.refusal };
    const sentMs = performance.now();
    const { press: number, nonce } = answer.value;
    answer = await post<Held>('/api/hold', { press: number, nonce }, PATIENCE_MS);
    const restMs = EVERY_MS - (performance.now() - sentMs);
    if (restMs > 0) await new Promise((resolve) => setTimeout(resolve, restMs));
  }
  return null;
}
