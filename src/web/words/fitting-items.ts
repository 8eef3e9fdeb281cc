/** What each item of a fitting asks, how it is done, and what to do where it is not right. */

/** What an item asks, and how it is done; `about` is its leaf, exit or input. */
export interface ItemWords {
  title: (about: string) => string;
  how: string;
}

const item = (title: string | ((about: string) => string), how: string): ItemWords => ({
  title: typeof title === 'string' ? () => title : title,
  how,
});

const FORCE = 'Mean of three readings with the test body, leaf closing on it.';

export const items: Record<string, ItemWords> = {
  fuses: item(
    'Own fused feed for the Pi and coils, a fuse for each actuator, reverse-polarity protection',
    'See that each fuse is no larger than its cable may carry.',
  ),
  'rest-volts': item('Battery at rest', 'Nothing switched on for an hour or more.'),
  'load-volts': item('Battery with one leaf moving', 'Read the lowest while it moves.'),
  'stall-volts': item(
    'Lowest volts, all leaves stalled for half a second',
    'By the relays’ own test buttons, leaves against their ends, half a second and no more.',
  ),
  readings: item('Readings come steadily', 'Take the rate that is heard now.'),
  level: item('The crate stands level and free', 'A bubble level, both ways.'),
  zero: item('The empty crate reads zero', 'Set zero on the Race screen first if it does not.'),
  mass: item(
    'A known mass',
    'In the middle, then at each corner where asked. Lift with two; hands clear of the gates.',
  ),
  press: item(
    (about) => `${about}: work it`,
    'Its lamp must be as at rest first. Begin, work it once, and back.',
  ),
  wire: item(
    (about) => `${about}: pull its wire`,
    'Begin, pull one wire off its terminal, see the lamp go off, and put it back. Pull the wire itself: ' +
      'Fank cannot tell it from working the contact.',
  ),
  'front-just': item(
    'The front contact changes just as the front opens',
    'Before a nose fits through the gap.',
  ),
  fence: item(
    'Ten minutes beside the live fence without a change',
    'Touch nothing meanwhile. The phone may sleep.',
  ),
  direction: item(
    (about) => `${about}: which way does it go?`,
    'Hold the button, watch the leaf, then say what you saw.',
  ),
  ends: item((about) => `${about} reaches both ends and stands still there`, 'Send it both ways.'),
  travel: item(
    (about) => `${about}: five whole strokes`,
    'From one end, hold until it reaches the other, let go, take the time; then back. Five times.',
  ),
  'low-travel': item(
    (about) => `${about}: one stroke at the low-battery limit`,
    'Bring battery or a bench supply to the voltage below first: within half a volt while the leaf moves ' +
      'where it is read, else see to it with a meter. The gate profile’s travelMs must cover it.',
  ),
  exit: item(
    (about) => `Exit “${about}”`,
    'Send each leaf as shown, then say where an animal would walk now.',
  ),
  stopped: item(
    'Stop pressed while a leaf moves, then reset',
    'Begin, hold a leaf’s button, press the stop, let go, reset it, and wait five seconds.',
  ),
  unplugged: item(
    'Pi unplugged while a leaf moves: time to standing still',
    'Five times, the slowest leaf.',
  ),
  frozen: item(
    'Service frozen while a leaf moves: time to standing still',
    'sudo systemctl kill --signal=STOP fank, five times; it starts anew by itself.',
  ),
  'drop-out': item(
    'Drop-out relay: time until the rail is dead',
    'Where the rail is watched: begin, hold a leaf’s button, then press Stop on this page, not the red one.',
  ),
  'stays-dead': item(
    'The rail stays dead until reset is pressed',
    'After a drop-out hold a leaf’s button again: nothing moves before the box’s reset is pressed.',
  ),
  pin: item(
    (about) => `${about}: pin pulled under load, the leaf swings free`,
    'One person, by hand, without tools, with the actuator pushing.',
  ),
  'gap-edge': item((about) => `${about}: free edge to post at the end of its stroke`, ''),
  'gap-hinge': item((about) => `${about}: gap at the hinge side`, 'The narrowest, all the way.'),
  'gap-bottom': item((about) => `${about}: bottom edge to the ground`, ''),
  'gap-bracket': item((about) => `${about}: rod and bracket to anything`, ''),
  'force-50': item((about) => `${about}: peak force at a gap of 50 mm`, FORCE),
  'force-300': item((about) => `${about}: peak force at a gap of 300 mm`, FORCE),
  'force-500': item((about) => `${about}: peak force at a gap of 500 mm`, FORCE),
  'force-after': item((about) => `${about}: force 0.75 s after the peak`, FORCE),
  warning: item('The warning is heard at the far end of the lane', 'With the yard’s own noise.'),
  reboots: item('Five starts of the machine: no leaf twitched', 'After each start say it here.'),
  'dry-runs': item('Dry runs without a fault', 'Count them on the Race screen.'),
  washed: item('Washed and disinfected: by whom, when', 'Before it came here.'),
};

/** What is likely wrong and what to do, by kind of item. */
export const remedy: Record<string, string> = {
  yes: 'Put it right, then do it again.',
  figure: 'Outside the limit: put it right and measure again.',
  input:
    'It does not show its rest: a broken wire, a loose terminal, a contact the wrong way round, or ' +
    'active high and low swapped in the board profile.',
  quiet: 'This input changed: route its cable away from the fence, twist it, look at its earth.',
  direction: 'The leaf goes the other way: swap the actuator’s two leads, or its two relays.',
  travel:
    'Slower than the gate profile says: look for a stiff hinge or low volts, or set travelMs to the longest.',
  exit: 'Another exit stands open: swap the exits in the gate profile, or the two leaves’ wires.',
  stopped: 'It was not off at once, or moved after the reset: do not go on; look at the stop loop.',
  'drop-out': 'The rail stayed live too long: look at the drop-out relay and its capacitor.',
  readings: 'Too few: look at cable, speed and profile, or listen again.',
  zero: 'Clean the platform, see that nothing touches it, set zero.',
  mass: 'Outside the limit for this scale: look at load bars and level, then calibrate the head.',
  reboots: 'A leaf twitched: look at pull-downs and the relay board’s polarity.',
  words: 'Say by whom.',
};
