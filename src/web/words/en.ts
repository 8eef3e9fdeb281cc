import type { RefusalCode } from '../../adapters/page/contracts.ts';
import type { Role, WeightState } from '../../adapters/page/messages.ts';
import type { Wait } from '../../core/interlock/state.ts';
import type { Work } from '../../core/sortplan/plan.ts';
import type { LinkName, Mode } from '../../core/trace.ts';
import type { Standing } from '../freshness.ts';

/** Everything that the page says. A missing key does not compile. */
export interface Words {
  /** Of the document: language tag and direction of writing. */
  lang: string;
  dir: 'ltr' | 'rtl';
  title: string;
  mode: Record<Mode, string>;
  weight: Record<WeightState, string>;
  link: Record<LinkName, string>;
  role: Record<Role, string>;
  /** Why nothing is shown as live; said in a banner. */
  standing: Record<Exclude<Standing, 'live'>, string>;
  refusal: Record<Exclude<RefusalCode, 'refused'>, string>;
  kg: string;
  noFigure: string;
  plusMinus: (kg: string) => string;
  exits: { left: string; ahead: string; right: string };
  gatePicture: string;
  gateStands: (exit: string) => string;
  gateMoves: string;
  gateUnknown: string;
  gateAssumed: string;
  waits: Record<Wait, string>;
  spray: (colour: string) => string;
  animal: (number: number) => string;
  tag: (lastFive: string) => string;
  noAnimal: string;
  letGoTo: (exit: string) => string;
  goesTo: (exit: string) => string;
  byHand: string;
  sendHere: string;
  thisOne: string;
  head: (count: number) => string;
  headOf: (count: number, capacity: number) => string;
  full: string;
  under: (kg: string) => string;
  andOver: (kg: string) => string;
  anyWeight: string;
  last: string;
  noneYet: string;
  lastRow: { animal: string; weight: string; lot: string; exit: string };
  notSure: string;
  notSaved: string;
  start: string;
  startHold: string;
  startPromise: string;
  holding: string;
  pause: string;
  clear: string;
  laneClear: string;
  crateEmpty: string;
  askLane: string;
  askCrate: string;
  askUnsure: string;
  stop: string;
  stopIsNot: string;
  stopSending: string;
  stopSent: string;
  stopLost: string;
  /** A mark that has no word here is called as it is. */
  markNames: Record<string, string>;
  markValues: Record<string, string>;
  marks: string;
  placesLeft: (left: number, lot: string) => string;
  work: Record<Exclude<Work, 'weigh-and-sort'>, string>;
  tagsOff: string;
  withTags: string;
  goOnWithTags: string;
  askTags: string;
  withoutTags: string;
  askFull: string;
  places: { label: string; race: string; plan: string; check: string };
  notForTrade: string;
  faults: string;
  cause: string;
  remedy: string;
  links: string;
  linkUp: string;
  linkDown: string;
  heard: {
    perSecond: string;
    lastFrame: string;
    noise: string;
    reopened: string;
    lost: string;
    never: string;
  };
  ago: Record<'seconds' | 'minutes' | 'hours', (count: string) => string>;
  /** What a tag's first three digits are. */
  tagCode: { test: string; maker: (code: string) => string; country: (code: string) => string };
  battery: string;
  batteryLow: string;
  volts: (volts: string) => string;
  simulated: string;
  menu: string;
  close: string;
  signIn: string;
  signOut: string;
  signedInAs: (role: string, device: number) => string;
  pin: string;
  pinAsk: string;
  pinBack: string;
  looks: { sun: string; night: string };
  look: string;
  haveControl: string;
  otherHasControl: (device: number) => string;
  nobodyHasControl: string;
  takeOver: string;
  ageOld: (seconds: number) => string;
  sent: string;
}

const COUNTS = ['', 'One', 'Two', 'Three', 'Four', 'Five'];
const SECONDS = (n: number): string => (n === 1 ? '1 second' : `${String(n)} seconds`);

export const words: Words = {
  lang: 'en-GB',
  dir: 'ltr',
  title: 'Fank: the race',
  mode: {
    stopped: 'Stopped',
    fitting: 'Fitting',
    homing: 'Finding the gate',
    running: 'Sorting',
    paused: 'Paused',
    fault: 'Fault',
  },
  weight: {
    none: 'No weight coming',
    'no-zero': 'Zero not known',
    empty: 'Crate empty',
    'coming-on': 'Coming on',
    weighing: 'Weighing',
    good: 'Good weight',
    'not-sure': 'Not sure',
    leaving: 'Going out',
  },
  link: {
    scale: 'Weigh head',
    reader: 'Tag reader',
    relays: 'Relays',
    inputs: 'Contacts',
    records: 'Day book',
    page: 'Page',
    battery: 'Battery',
  },
  role: { operator: 'operator', installer: 'installer' },
  standing: {
    connecting: 'Looking for Fank …',
    gone: 'No word from Fank. Nothing here is live. The wired buttons still work; so does the emergency stop.',
    silent:
      'Fank’s sorting is silent. Nothing here is live. Press the emergency stop if anything moves.',
    late: 'This phone’s connection lags. Nothing here is live.',
  },
  refusal: {
    'bad-request': 'Fank did not understand that.',
    'sign-in-first': 'Sign in first.',
    'installer-only': 'This needs the installer’s PIN.',
    'wrong-pin': 'That PIN is not right.',
    wait: 'Too many wrong PINs from this phone. Wait, then try again.',
    'held-by-other': 'Another phone has the controls.',
    'no-answer': 'Fank did not answer. If anything moves, press the emergency stop.',
    'not-here': 'This page was opened by a name that Fank does not know. Use its address.',
    'not-found': 'Fank does not know that.',
    'too-many': 'Too much at once. Wait a moment.',
    failed: 'Fank could not do that.',
  },
  kg: 'kg',
  noFigure: '– –',
  plusMinus: (kg) => `± ${kg} kg`,
  exits: { left: 'Left', ahead: 'Straight on', right: 'Right' },
  gatePicture: 'The gate seen from above; animals walk up the picture.',
  gateStands: (exit) => `Gate: ${exit.toLowerCase()}`,
  gateMoves: 'Gate is moving',
  gateUnknown: 'Gate’s place not known',
  gateAssumed: 'by time',
  waits: {
    mode: 'Gate waits: not started',
    stop: 'Gate waits: the stop is pressed',
    power: 'Gate waits: no power to the leaves',
    front: 'Gate waits: the front is open',
    lane: 'Gate waits: somebody is in it',
    confirm: 'Gate waits: somebody has to look',
    contacts: 'Gate waits: the contacts are not read',
    scale: 'Gate waits: no weight coming',
    position: 'Gate waits: its place is not known',
    battery: 'Gate waits: the battery is low',
    records: 'Gate waits: the day book is not saving',
    'keep-alive': 'Gate waits: the drop-out was never proved',
    duty: 'Gate waits: its motors rest',
    crate: 'Gate waits: the crate is not empty',
  },
  spray: (colour) => `Spray ${colour}`,
  animal: (number) => `Animal ${String(number)}`,
  tag: (lastFive) => `tag … ${lastFive}`,
  noAnimal: 'Nobody on',
  letGoTo: (exit) => `Let go: ${exit}`,
  goesTo: (exit) => `Goes ${exit.toLowerCase()}. Wait …`,
  byHand: 'Send this one by hand',
  sendHere: 'Send here',
  thisOne: 'This one',
  head: (count) => `${String(count)} head`,
  headOf: (count, capacity) => `${String(count)} of ${String(capacity)}`,
  full: 'full',
  under: (kg) => `under ${kg}`,
  andOver: (kg) => `from ${kg}`,
  anyWeight: 'any weight',
  last: 'Last let go',
  noneYet: 'None yet in this session.',
  lastRow: { animal: 'No.', weight: 'kg', lot: 'Lot', exit: 'Went' },
  notSure: 'not sure',
  notSaved: 'not saved yet',
  start: 'Start',
  startHold: 'Hold 2 seconds to start',
  startPromise: 'I see the gate, nobody is in it.',
  holding: 'Keep holding …',
  pause: 'Pause',
  clear: 'Clear the fault',
  laneClear: 'I looked: nobody is in the gate',
  crateEmpty: 'I looked: the crate is empty',
  askLane: 'Is anybody in the gate?',
  askCrate: 'Is the crate empty?',
  askUnsure: 'Not sure about this one. Choose where it goes.',
  stop: 'Stop',
  stopIsNot: 'Stops the leaves. Not the emergency stop.',
  stopSending: 'Sending stop …',
  stopSent: 'Stop taken.',
  stopLost: 'STOP NOT TAKEN. Press the emergency stop.',
  markNames: {
    condition: 'Condition',
    sex: 'Sex',
    rearing: 'Rearing',
    keep: 'Keep',
    lame: 'Lame',
  },
  markValues: {
    female: 'Female',
    male: 'Male',
    castrated: 'Castrated',
    single: 'Single',
    twin: 'Twin',
  },
  marks: 'Marks for this one',
  placesLeft: (left, lot) =>
    left === 0
      ? `${lot} is full`
      : `${COUNTS[left] ?? String(left)} ${left === 1 ? 'place' : 'places'} left in ${lot}`,
  work: {
    'weigh-only': 'Weigh only: no leaf moves',
    'sort-only': 'Sort only: no weight is waited for',
    'count-only': 'Count only: no leaf moves',
  },
  tagsOff: 'Sorting without tags',
  withTags: 'With tags again',
  goOnWithTags: 'Go on with tags',
  askTags: 'Three tags in a row were not read. Animals on a list would be missed.',
  withoutTags: 'Carry on without tags',
  askFull: 'Its lot is full. Choose where this one goes.',
  places: { label: 'Places', race: 'Race', plan: 'Plan', check: 'Check weight' },
  notForTrade: 'Not for trade use.',
  faults: 'What is wrong',
  cause: 'Likely',
  remedy: 'Do this',
  links: 'Connections',
  linkUp: 'there',
  linkDown: 'gone',
  heard: {
    perSecond: 'Whole frames a second',
    lastFrame: 'Last whole frame',
    noise: 'Spoilt or cut',
    reopened: 'Opened again',
    lost: 'Lost last',
    never: 'never',
  },
  ago: {
    seconds: (count) => `${count} s ago`,
    minutes: (count) => `${count} min ago`,
    hours: (count) => `${count} h ago`,
  },
  tagCode: {
    test: 'test tag',
    maker: (code) => `maker ${code}`,
    country: (code) => `country ${code}`,
  },
  battery: 'Battery',
  batteryLow: 'low',
  volts: (volts) => `${volts} V`,
  simulated: 'Practice: nothing real moves',
  menu: 'Menu',
  close: 'Close',
  signIn: 'Sign in',
  signOut: 'Sign out',
  signedInAs: (role, device) => `Phone ${String(device)}, ${role}`,
  pin: 'PIN',
  pinAsk: 'Type the PIN',
  pinBack: 'Rub out',
  looks: { sun: 'Sun', night: 'Night' },
  look: 'Look of the page',
  haveControl: 'This phone has the controls',
  otherHasControl: (device) => `Phone ${String(device)} has the controls`,
  nobodyHasControl: 'Nobody has the controls',
  takeOver: 'Take over',
  ageOld: (seconds) => `Last seen ${SECONDS(seconds)} ago`,
  sent: 'Sent.',
};
