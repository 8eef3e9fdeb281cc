/**
 * Lamp and sounder: fixed on-off patterns in steps of 100 ms from the moment that their cause began.
 *
 * The lamp says *let go* and nothing else: as many flashes as the exit's place in the gate profile.
 * The sounder gives the same once, in short sounds. Besides: warning before motion on all along, and
 * after the first of a session a single tick of 100 ms; call, long and slow; held for a minute, three
 * short in five seconds; fault, quick, without end; refused for withdrawal, one long and two short,
 * once; a lot nearly full or full, two short and one long, once; a mark given, one tick, and taken
 * away, two. Where several are due, the most urgent sounds: fault, warning, refused, call, held,
 * filling, mark, let go.
 */
const STEP_MS = 100;

/** What is said once, in steps of 100 ms. */
const ONCE = {
  refused: '11111111..11..11',
  filling: '11..11..11111111',
  marked: '1',
  unmarked: '1.1',
};

export interface SignalView {
  /** Let-go signal since, and the exit's place in the profile (0 to 4), or null. */
  ready: { since: number; place: number } | null;
  /** Warning before motion since, and whether it is the first of this session, or null. */
  warning: { since: number; first: boolean } | null;
  /** Unanswered call since, or null. */
  call: number | null;
  /** One animal is held too long, since; or null. */
  held: number | null;
  /** What is said once, since; or null. */
  saying: { what: keyof typeof ONCE; since: number } | null;
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
  if (view.warning !== null) return view.warning.first || t - view.warning.since < STEP_MS;
  const once =
    view.saying === null ? null : saidOnce(ONCE[view.saying.what], t - view.saying.since);
  if (once !== null && view.saying?.what === 'refused') return once;
  if (view.call !== null) return beat(t - view.call, 6, 20);
  if (view.held !== null) return threeShort(t - view.held);
  if (once !== null) return once;
  if (view.ready === null) return false;
  const { since, place } = view.ready;
  return t - since < STEP_MS * 3 * (place + 1) && flashes(t - since, place + 1);
}

/** Null when it has been said. */
function saidOnce(pattern: string, elapsed: number): boolean | null {
  const step = pattern[Math.floor(elapsed / STEP_MS)];
  return step === undefined ? null : step === '1';
}

/** `count` flashes of 200 ms with 100 ms between, then a pause of half a second. */
function flashes(elapsed: number, count: number): boolean {
  const steps = Math.floor(elapsed / STEP_MS) % (3 * count + 5);
  return steps < 3 * count && steps % 3 < 2;
}

/** Three sounds of 100 ms with 100 ms between, then silence until five seconds are over. */
function threeShort(elapsed: number): boolean {
  const steps = Math.floor(elapsed / STEP_MS) % 50;
  return steps < 6 && steps % 2 === 0;
}

/** On for `on` steps out of every `of`. */
function beat(elapsed: number, on: number, of: number): boolean {
  return Math.floor(elapsed / STEP_MS) % of < on;
}
