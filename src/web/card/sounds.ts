/** The sounder's patterns, in steps of 100 ms, as the service gives them: a test compares the two. */
export type SoundName =
  'trip' | 'warning' | 'refused' | 'call' | 'held' | 'filling' | 'marked' | 'unmarked';

/** Five seconds of each. */
export const STEPS = 50;

const once = (pattern: string): string => pattern.padEnd(STEPS, '.');
const always = (pattern: string): string => pattern.repeat(STEPS).slice(0, STEPS);

/** Most urgent first. `1` is sound. */
export const SOUNDS: Record<SoundName, string> = {
  trip: always('1.'),
  warning: always('1'),
  refused: once('11111111..11..11'),
  call: always('111111..............'),
  held: once('1.1.1'),
  filling: once('11..11..11111111'),
  marked: once('1'),
  unmarked: once('1.1'),
};

/** Two rounds and more of an exit's flashes. */
export function flashes(count: number): string {
  return always(`${'11.'.repeat(count)}.....`);
}
