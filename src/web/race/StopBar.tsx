import { stop, stopping } from '../stop.ts';
import { words } from '../words/en.ts';

function inWords(): string {
  if (stopping.value === 'sending') return words.stopSending;
  if (stopping.value === 'taken') return words.stopSent;
  if (stopping.value === 'lost') return words.stopLost;
  return words.stopIsNot;
}

/** Always in the same place, without a PIN, at the first touch; nothing else sends it. */
export function StopBar() {
  return (
    <button
      type="button"
      class={`stop ${stopping.value}`}
      onPointerDown={(event) => {
        if (event.button === 0) void stop();
      }}
      onKeyDown={(event) => {
        if (!event.repeat && (event.key === ' ' || event.key === 'Enter')) void stop();
      }}
    >
      <b>{words.stop}</b>
      <span role="alert" data-testid="stop-says">
        {inWords()}
      </span>
    </button>
  );
}
