/** The session as the service tells it, fetched anew whenever a snapshot says that it has changed. */
import { effect, signal } from '@preact/signals';
import type { SessionOrder, SessionShown } from '../../adapters/session.ts';
import { get, post } from '../api.ts';
import { isLive, me, race, sheet } from '../store.ts';
import { words } from '../words/en.ts';

export const session = signal<SessionShown | null>(null);
/** What the page has to say about the last order. */
export const says = signal<{ text: string; bad: boolean } | null>(null);

let fetched = 0;

async function fetchIt(rev: number): Promise<void> {
  fetched = rev;
  const found = await get<SessionShown>('/api/session');
  if (found !== null && rev === fetched) session.value = found;
  else if (found === null) fetched = 0;
}

effect(() => {
  const rev = isLive.value ? (race.value?.sessionRev ?? 0) : 0;
  if (rev !== 0 && rev !== fetched) void fetchIt(rev);
});

/** Says it to the service; true where it was taken. Asks for the PIN first where nobody is signed in. */
export async function order(given: SessionOrder, done: string | null = null): Promise<boolean> {
  if (me.value.role === null) {
    sheet.value = 'sign-in';
    return false;
  }
  const answer = await post('/api/session', given);
  if (answer.ok) says.value = done === null ? null : { text: done, bad: false };
  else {
    const text = answer.refusal?.reason ?? words.refusal['no-answer'];
    says.value = { text, bad: true };
  }
  return answer.ok;
}
