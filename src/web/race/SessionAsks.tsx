import { post } from '../api.ts';
import { go } from '../places.tsx';
import { isLive, me, race, sheet } from '../store.ts';
import { words } from '../words/en.ts';

function carryOn(): void {
  if (me.value.role === null) sheet.value = 'sign-in';
  else void post('/api/session', { do: 'carry-on' });
}

/** What the session waits for from a person; all about it stands in its own place. */
export function SessionAsks() {
  const asks = isLive.value ? (race.value?.asks ?? []) : [];
  const [choose, again] = [asks.includes('carry-on'), asks.includes('again')];
  if (!choose && !again) return null;
  return (
    <section class="control" data-testid="session-asks">
      <p>{choose ? words.askCarryOn : words.askAgain}</p>
      {choose ? (
        <button type="button" class="small" onClick={carryOn}>
          {words.carryOn}
        </button>
      ) : null}
      <button
        type="button"
        class="small"
        onClick={() => {
          go('session');
        }}
      >
        {words.places.session}
      </button>
    </section>
  );
}
