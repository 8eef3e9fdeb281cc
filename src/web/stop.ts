import { signal } from '@preact/signals';
import { post } from './api.ts';

/** Stop is sent again until it is taken, so long, ms. */
const TRY_MS = 6000;
/** How long "stop taken" is said, ms. */
const SAID_MS = 4000;

export const stopping = signal<'idle' | 'sending' | 'taken' | 'lost'>('idle');

let turn = 0;

/** Sends stop until the daemon has taken it. A second press starts anew. */
export async function stop(): Promise<void> {
  const mine = ++turn;
  const until = performance.now() + TRY_MS;
  stopping.value = 'sending';
  while (mine === turn) {
    const answer = await post('/api/stop', {});
    if (mine !== turn) return;
    if (answer.ok) {
      stopping.value = 'taken';
      setTimeout(() => {
        if (mine === turn) stopping.value = 'idle';
      }, SAID_MS);
      return;
    }
    // Said at the first failure: whoever stands there has to reach for the emergency stop.
    stopping.value = 'lost';
    if (performance.now() > until) return;
    await new Promise((resolve) => setTimeout(resolve, 250));
  }
}
