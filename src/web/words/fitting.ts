/** What the Fitting screen says; fetched with it. */
import type { Standing } from '../../fitting/state.ts';
import type { StepId } from '../../fitting/steps.ts';
import { items, remedy, type ItemWords } from './fitting-items.ts';

export interface FittingWords {
  title: string;
  intro: string;
  caution: string;
  installer: string;
  notNeeded: string;
  who: string;
  steps: Record<StepId, { title: string; how: string }>;
  standing: Record<Standing, string>;
  openCount: (open: number) => string;
  doneAll: string;
  safety: string;
  items: Record<string, ItemWords>;
  inputs: Record<string, string>;
  on: string;
  off: string;
  settled: string;
  changedAgo: (ago: string) => string;
  neverChanged: string;
  lamps: string;
  lampsHow: string;
  volts: (now: string, least: string) => string;
  railHow: string;
  yes: string;
  no: string;
  again: string;
  keep: string;
  take: string;
  begin: string;
  watching: string;
  leftRest: string;
  covered: string;
  noFence: string;
  limit: { least: string; most: string; orMost: string; mean: string };
  units: Record<'V' | 'mm' | 'N' | 'ms' | 'times' | 'kg' | 'perSecond' | 'minutes', string>;
  number: (at: number, unit: string) => string;
  atVolts: (volts: number) => string;
  otherVolts: (was: string, asked: string) => string;
  found: Record<string, string>;
  /** What is likely wrong and what to do, by kind of item. */
  remedy: Record<string, string>;
  by: (who: string, when: string) => string;
  clockUnset: string;
  extend: (leaf: string) => string;
  retract: (leaf: string) => string;
  hold: string;
  moves: string;
  waits: string;
  wentWhere: string;
  wentOut: string;
  wentIn: string;
  wentNot: string;
  whichExit: string;
  exitAsked: (number: number) => string;
  lastStroke: (ms: number) => string;
  noStroke: string;
  nowReads: (figure: string) => string;
  massOn: string;
  middle: string;
  corner: (number: number) => string;
  fenceLeft: (minutes: string) => string;
  stopAt: (ms: number) => string;
  stopReset: string;
  sign: string;
  signHow: string;
  signedBy: (who: string, when: string) => string;
  signedNot: string;
  signedStale: string;
  startOpen: (names: string) => string;
  startFree: string;
  newYard: string;
  newYardHow: string;
  place: string;
  report: string;
  fitted: (of: { scale: string; board: string; gate: string; crate: string }) => string;
  print: string;
  back: string;
  next: string;
  notDone: string;
  nothingOpen: string;
  signature: string;
}

export const fittingWords: FittingWords = {
  title: 'Fitting',
  intro: 'Ten steps. Leave when you like: what is done stays done.',
  caution:
    'Lock off at the battery and pull the pins before you reach into the gate. One person at the ' +
    'race, nobody within reach of a leaf. Local codes and licensed practice decide.',
  installer: 'Fitting needs the installer’s PIN.',
  notNeeded: 'Nothing real moves here: the race starts without a fitting.',
  who: 'Your name, for the report',
  steps: {
    supply: {
      title: '1. Supply',
      how: 'Measure at the box’s terminals. Each actuator and the Pi have a fuse of their own.',
    },
    head: { title: '2. Weigh head', how: 'The crate is empty and the head switched on.' },
    scale: { title: '3. Scale', how: 'Clean the platform; nothing touches the crate.' },
    contacts: {
      title: '4. Contacts',
      how: 'Pins pulled: nothing can move. Every contact is worked, and every safety wire pulled.',
    },
    leaves: {
      title: '5. Leaves',
      how: 'A leaf moves while your finger is on its button. Stand where you see all of it.',
    },
    exits: { title: '6. Which exit is which', how: 'Send the leaves, then say what stands open.' },
    stop: {
      title: '7. Stop and drop-out',
      how: 'For times to standing still, film it and count pictures, or use a contact timer.',
    },
    hands: {
      title: '8. Hands and gaps',
      how: 'Lock off before you measure gaps. Forces are measured with a force gauge, not a hand.',
    },
    reboots: { title: '9. Reboots', how: 'Battery on, pins in, nobody near. Watch every leaf.' },
    dry: { title: '10. Dry runs', how: 'After signing: start, and walk the race through empty.' },
    yard: { title: 'New yard', how: 'Five minutes at each new place, before the first animal.' },
  },
  standing: { open: 'to do', wrong: 'wrong', stale: 'settings changed: again', done: 'done' },
  openCount: (open) => `${String(open)} to do`,
  doneAll: 'done',
  safety: 'The race does not start without it.',
  items,
  inputs: {
    frontShut: 'Front shut',
    backShut: 'Back shut',
    handsOff: 'Hands off',
    laneClear: 'Lane clear',
    stopLoop: 'Stop loop',
    actuatorPower: 'Actuator power',
    startButton: 'Start button',
    pauseButton: 'Pause button',
  },
  on: 'on',
  off: 'off',
  settled: 'settled',
  changedAgo: (ago) => `changed ${ago}`,
  neverChanged: 'no change yet',
  lamps: 'Lamps and leaves',
  lampsHow: 'Every input as it is on the wire, and a button for each way of each leaf.',
  volts: (now, least) => `Battery ${now} V, lowest while moving ${least} V`,
  railHow:
    'The rail is live only in the fitting mode: hold a leaf’s button once, and press the box’s reset. ' +
    'Begin; open the isolator and close it; clear the fault, press reset, and hold a button again.',
  yes: 'Yes, seen',
  no: 'No',
  again: 'Do again',
  keep: 'Keep',
  take: 'Take',
  begin: 'Begin',
  watching: 'Watching…',
  leftRest: 'Seen. Now back to rest.',
  covered: 'Covered or fenced off',
  noFence: 'No live fence near',
  limit: { least: 'at least', most: 'at most', orMost: 'or at most', mean: 'mean of' },
  units: {
    V: 'V',
    mm: 'mm',
    N: 'N',
    ms: 'ms',
    times: 'times',
    kg: 'kg',
    perSecond: 'readings a second',
    minutes: 'minutes',
  },
  number: (at, unit) => `Figure ${String(at)}, ${unit}`,
  found: {
    true: 'yes',
    false: 'no',
    covered: 'covered or fenced off',
    none: 'no live fence near',
    extended: 'went out',
    retracted: 'went in',
    still: 'did not move',
    'not-at-rest': 'not as at rest',
  },
  remedy,
  atVolts: (volts) => `battery at ${String(volts)} V`,
  otherVolts: (was, asked) =>
    `The battery was at ${was} V, not within half a volt of ${asked} V: bring it there, or use a bench supply.`,
  by: (who, when) => `${who}, ${when}`,
  clockUnset: 'clock not set',
  extend: (leaf) => `${leaf} out`,
  retract: (leaf) => `${leaf} in`,
  hold: 'moves while held',
  moves: 'moving: let go to stop',
  waits: 'held: not moving yet',
  wentWhere: 'Which way did it go?',
  wentOut: 'Out, across the lane',
  wentIn: 'In, out of the way',
  wentNot: 'It did not move',
  whichExit: 'Where would an animal walk now?',
  exitAsked: (number) => `Way ${String(number)}: where does it lead?`,
  lastStroke: (ms) => `Last stroke: ${String(ms)} ms`,
  noStroke: 'No stroke yet',
  nowReads: (figure) => `Now: ${figure}`,
  massOn: 'Mass as marked on it, kg',
  middle: 'Reading in the middle, kg',
  corner: (number) => `Reading at corner ${String(number)}, kg`,
  fenceLeft: (minutes) => `${minutes} minutes so far`,
  stopAt: (ms) => `Stop seen in motion: off after ${String(ms)} ms. Now reset it and wait.`,
  stopReset: 'Reset seen. Wait: nothing may move for five seconds.',
  sign: 'Sign the fitting',
  signHow:
    'I have done these steps myself at this gate, and the figures are what I read. A change of gate, ' +
    'board or input settings opens its steps again.',
  signedBy: (who, when) => `Signed by ${who}, ${when}`,
  signedNot: 'Not signed',
  signedStale: 'Settings or results are others since: it does not hold any more. Sign anew.',
  startOpen: (names) => `The race does not start: ${names}`,
  startFree: 'The race may start.',
  newYard: 'New yard',
  newYardHow: 'Level, zero, known mass, each exit shown, stop pressed, washed by whom.',
  place: 'Name of the place',
  report: 'Report',
  fitted: ({ scale, board, gate, crate }) =>
    `Gate ${gate}, board ${board}, crate ${crate}, weigh head ${scale}`,
  print: 'Print',
  back: 'Back to the steps',
  next: 'Next step',
  notDone: 'What was not done',
  nothingOpen: 'Everything was done.',
  signature: 'Signature',
};
