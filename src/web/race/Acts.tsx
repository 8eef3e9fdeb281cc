import { command, isLive, race, start } from '../store.ts';
import { words } from '../words/en.ts';
import { locked } from './rain.ts';
import { HoldButton } from './HoldButton.tsx';

const START_MS = 2000;

/** Start, while it can be done: held, by a person who says that the gate is free. */
export function Start() {
  const now = isLive.value ? race.value : null;
  const mode = now?.mode ?? null;
  if (mode === 'running' || mode === 'homing') return null;
  return (
    <HoldButton
      ms={START_MS}
      disabled={mode === null || mode === 'fault' || mode === 'fitting'}
      holding={words.holding}
      onHeld={() => void start()}
    >
      <b>{words.start}</b>
      <span>
        {words.startHold}: “{words.startPromise}”
      </span>
    </HoldButton>
  );
}

export function Pause() {
  const mode = isLive.value ? race.value?.mode : undefined;
  return (
    <button
      type="button"
      class="act pause"
      disabled={locked.value || (mode !== 'running' && mode !== 'homing')}
      onClick={() => void command({ do: 'pause' })}
    >
      <b>{words.pause}</b>
    </button>
  );
}
