import { isLive, notice, race } from '../store.ts';
import { Pause, Start } from './Acts.tsx';
import { place } from '../places.tsx';
import { Asks } from './Asks.tsx';
import { RainLock } from './RainLock.tsx';
import { locked } from './rain.ts';
import { Marks } from './Marks.tsx';
import { StopBar } from './StopBar.tsx';

function Notices() {
  const refused = isLive.value ? (race.value?.refused ?? null) : null;
  const said = notice.value;
  return (
    <div class="notices" aria-live="assertive">
      {said === null ? null : <p data-testid="notice">{said.text}</p>}
      {refused === null || refused === said?.text ? null : <p>{refused}</p>}
    </div>
  );
}

/** Within the thumb's reach, over everything else: what is asked, start or pause, and last stop. */
export function Dock() {
  return (
    <footer class="dock">
      <Notices />
      <Asks />
      {locked.value ? <RainLock /> : null}
      {place.value === 'race' && !locked.value ? (
        <>
          <Marks />
          <Start />
        </>
      ) : null}
      <div class="last-row">
        <Pause />
        <StopBar />
      </div>
    </footer>
  );
}
