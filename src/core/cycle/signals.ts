/**
 * Lamp and sounder: fixed on-off patterns in steps of 100 ms from the moment that their cause began.
 * Let go: as many flashes as the exit's place in the gate profile, with the same in short sounds
 * once. Call: long and slow. Fault: quick, without end. Warning before motion: on.
 */
const STEP_MS = 100;

export interface SignalView {
  /** Let-go signal since, and the exit's place in the profile (0 to 4), or null. */
  ready: { since: number; place: number } | null;
  warning: boolean;
  /** Unanswered call since, or null. */
  call: number | null;
  /** Latched trip since, or null. */
  trip: number | null;
}

/** Levels of `letGoLamp` and `sounder` at time t. */
export function signals(view: SignalView, t: number): { letGoLamp: boolean; sounder: boolean } {
  const { ready } = view;
  const flash = ready !== null && flashes(t - ready.since, ready.place + 1);
  return { letGoLamp: flash, sounder: sound(view, t) };
}

function sound(view: SignalView, t: number): boolean {
  if (view.trip !== null) return beat(t - view.trip, 1, 2);
  if (view.warning) return true;
  if (view.call !== null) return beat(t - view.call, 6, 20);
  if (view.ready === null) return false;
  const { since, place } = view.ready;
  return t - since < STEP_MS * 3 * (place + 1) && flashes(t - since, place + 1);
}

/** `count` flashes of 200 ms with 100 ms between, then a pause of half a second. */
function flashes(elapsed: number, count: number): boolean {
  const steps = Math.floor(elapsed / STEP_MS) % (3 * count + 5);
  return steps < 3 * count && steps % 3 < 2;
}

/** On for `on` steps out of every `of`. */
function beat(elapsed: number, on: number, of: number): boolean {
  return Math.floor(elapsed / STEP_MS) % of < on;
}
