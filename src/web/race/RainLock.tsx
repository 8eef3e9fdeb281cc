import { words } from '../words/en.ts';
import { HoldButton } from './HoldButton.tsx';
import { locked } from './rain.ts';

const UNLOCK_MS = 2000;

/** Stands where start stands while the rain lock is on. */
export function RainLock() {
  return (
    <HoldButton
      ms={UNLOCK_MS}
      disabled={false}
      holding={words.holding}
      onHeld={() => {
        locked.value = false;
      }}
    >
      <b>{words.rainLocked}</b>
      <span>{words.rainUnlock}</span>
    </HoldButton>
  );
}
