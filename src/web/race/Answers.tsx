import { useEffect } from 'preact/hooks';
import { exitName } from '../say.ts';
import { command, isLive, layout, race } from '../store.ts';
import { words } from '../words/en.ts';

/** The alarm is felt again after this, ms. */
const AGAIN_MS = 5000;

/** Where the animal that is called for may go: one tap each, bound to its number. */
export function Answers() {
  const now = isLive.value ? race.value : null;
  const given = layout.value;
  const animal = now?.animal?.number;
  if (now === null || given === null || animal === undefined) return null;
  const held = now.faults.some(({ name }) => name === 'held-long');
  const asked = now.asks.includes('unsure') || now.asks.includes('full');
  if (!held && !asked) return null;
  const sorts = given.work === 'weigh-and-sort' || given.work === 'sort-only';
  return (
    <>
      {held ? <HeldAlarm animal={animal} /> : null}
      {sorts ? (
        <div class="answers" role="group" aria-label={words.sendAnimal(animal)}>
          {given.exits.map(({ exit, said }) => (
            <button
              type="button"
              key={exit}
              onClick={() => void command({ do: 'exit', exit, animal })}
            >
              <b>{exitName(exit)}</b>
              {said === undefined ? null : <i>{said}</i>}
            </button>
          ))}
        </div>
      ) : null}
    </>
  );
}

/** One animal has been held for a minute: said, and felt where the phone can shake. */
function HeldAlarm({ animal }: { animal: number }) {
  useEffect(() => {
    const shake = (): void => {
      // A phone that was never touched, or has nothing to shake with, refuses; the words stay.
      if ('vibrate' in navigator) navigator.vibrate([300, 150, 300, 150, 300]);
    };
    shake();
    const timer = setInterval(shake, AGAIN_MS);
    return () => clearInterval(timer);
  }, [animal]);
  return (
    <p class="alarm" data-testid="held-alarm">
      {words.heldAlarm(animal)}
    </p>
  );
}
