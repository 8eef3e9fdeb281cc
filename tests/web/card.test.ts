/** The yard card draws what the sounder and the lamp really do. */
import { expect, test } from 'vitest';
import { signals, type SignalView } from '../../src/core/cycle/signals.ts';
import { flashes, SOUNDS, STEPS, type SoundName } from '../../src/web/card/sounds.ts';

const NOTHING: SignalView = {
  ...{ ready: null, warning: null, call: null, held: null, saying: null, trip: null },
};

const CAUSES: Record<SoundName, Partial<SignalView>> = {
  trip: { trip: 0 },
  warning: { warning: { since: 0, first: true } },
  refused: { saying: { what: 'refused', since: 0 } },
  call: { call: 0 },
  held: { held: 0 },
  filling: { saying: { what: 'filling', since: 0 } },
  marked: { saying: { what: 'marked', since: 0 } },
  unmarked: { saying: { what: 'unmarked', since: 0 } },
};

function drawn(cause: Partial<SignalView>, what: 'sounder' | 'letGoLamp'): string {
  const steps = Array.from({ length: STEPS }, (_, step) =>
    signals({ ...NOTHING, ...cause }, step * 100),
  );
  return steps.map((levels) => (levels[what] ? '1' : '.')).join('');
}

test.each(Object.entries(CAUSES))('the sound of %s', (name, cause) => {
  expect(SOUNDS[name as SoundName]).toBe(drawn(cause, 'sounder'));
});

test.each([1, 2, 3, 4, 5])('%i flashes of the lamp', (count) => {
  expect(flashes(count)).toBe(drawn({ ready: { since: 0, place: count - 1 } }, 'letGoLamp'));
});
