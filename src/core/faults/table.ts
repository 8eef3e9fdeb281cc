/**
 * The one table of faults. `docs/faults.md` is compared with it by a test.
 *
 * Severity: `note` is said and shown; `hold` lets this animal finish and begins no further automatic
 * stroke; `trip` takes all motion off at once and needs a person to clear and to start again.
 */
export interface Fault {
  /** What happened. */
  what: string;
  cause: string;
  /** What to do. */
  remedy: string;
  severity: 'note' | 'hold' | 'trip';
  /** How it clears: by itself when the cause is gone, or by a person after the cause is gone. */
  clears: 'itself' | 'person';
}

const trip = (what: string, cause: string, remedy: string): Fault => ({
  what,
  cause,
  remedy,
  severity: 'trip',
  clears: 'person',
});
const hold = (what: string, cause: string, remedy: string): Fault => ({
  what,
  cause,
  remedy,
  severity: 'hold',
  clears: 'itself',
});
const note = (what: string, cause: string, remedy: string): Fault => ({
  what,
  cause,
  remedy,
  severity: 'note',
  clears: 'itself',
});

export const FAULTS = {
  'stop-pressed': trip(
    'The stop loop is open.',
    'Somebody pressed the stop, or its wire is broken.',
    'See that nobody is in the gate, release the stop, clear, then start.',
  ),
  'let-out-early': trip(
    'The front opened while a leaf was moving.',
    'The animal was let go before the signal.',
    'Shut the front, let the crate and the lane empty, look at the gate, clear, then start.',
  ),
  'lane-entered': trip(
    'Something came into the lane while a leaf was moving.',
    'An animal turned back, somebody reached in, or the beam is dirty.',
    'Look at the gate, empty the lane, wipe the beam, clear, then start.',
  ),
  'tick-late': trip(
    'The service stood still for more than 0.1 s.',
    'The computer is overloaded, hot, or its supply is weak.',
    'Look at the supply and at what else runs on it; clear, then start.',
  ),
  'inputs-lost': trip(
    'The contacts can no longer be read.',
    'The input board is off or its wire is loose.',
    'Check the board and its wire; clear, then start.',
  ),
  'relays-lost': trip(
    'The relay board does not answer.',
    'The board is off or its wire is loose.',
    'Check the board and its wire; clear, then start.',
  ),
  'rail-dead': trip(
    'The actuators lost their power.',
    'A blown fuse, the drop-out relay, or a loose wire.',
    'Check the fuse and reset the drop-out relay; clear, then start.',
  ),
  'rail-live': trip(
    'The actuators have power although they must not.',
    'The drop-out relay is welded or bridged.',
    'Disconnect the battery and replace the drop-out relay before anything moves again.',
  ),
  'both-ends-made': trip(
    'Both end switches of a leaf are made at once.',
    'A shorted wire or a stuck switch.',
    'Check the switches and wires of that leaf; clear, then start.',
  ),
  'leaf-did-not-start': trip(
    'A leaf stayed at its end although it was driven.',
    'A blown fuse, a jammed leaf, a stuck end switch, or the pin is out.',
    'Lock off, look at the leaf, its fuse and its pin; clear, then start.',
  ),
  'end-too-soon': trip(
    'A leaf reached its end sooner than it can.',
    'A stuck or misplaced end switch.',
    'Check the switches of that leaf; clear, then start.',
  ),
  'end-not-reached': trip(
    'A leaf did not reach its end in time.',
    'Something is in its way, the battery is low, or the hinge is stiff.',
    'Lock off, free the leaf, look at the battery; clear, then start.',
  ),
  'leaf-moved-unbidden': trip(
    'A leaf left its end or reached one with nothing driving it.',
    'An animal pushed it, a relay is welded, or a switch is loose.',
    'Lock off, look at the leaf, its relays and switches; clear, then start.',
  ),
  'end-lost-letting-go': trip(
    'A leaf left its end while an animal was being let go.',
    'The animal pushed it, or the switch is loose.',
    'See where the animal went, look at the leaf; clear, then start.',
  ),
  'input-chatters': trip(
    'An input changed more than three times within a second, or a button eight times.',
    'A loose wire, water in a plug, or a switch that bounces.',
    'Look at that input, its wire and plug; clear, then start.',
  ),
  'start-button-stuck': trip(
    'The start button has been pressed for ten seconds.',
    'The button is jammed or its wire is shorted.',
    'Free the button or mend its wire; clear, then start.',
  ),
  'scale-lost': hold(
    'No weight comes from the weigh head.',
    'It is off, unplugged, or set to another speed.',
    'Look at the weigh head, its plug and battery. Sorting by hand goes on.',
  ),
  'records-not-saved': hold(
    'The record cannot be saved.',
    'The card is full, worn or write-protected.',
    'Free space on the card or change it. What was weighed is kept in memory until then.',
  ),
  'front-unseen': hold(
    'An animal was let go and has gone, but the front never showed open.',
    'The switch of the front is stuck or its wire shorted; or the animal went back or jumped out.',
    'See where the animal is, open and shut the front and watch its switch, then confirm.',
  ),
  'battery-low': hold(
    'The battery is low, or its voltage is not being read.',
    'It is nearly empty, or its sense wire is loose.',
    'Change or charge the battery before going on.',
  ),
  'battery-weak': note(
    'The battery is nearly low.',
    'It has been worked for long, or a cable or terminal is poor.',
    'Have a charged battery ready: when it is low, this animal is finished and the gate waits.',
  ),
  'keep-alive-unproved': hold(
    'The keep-alive has not been proved to drop the actuators out.',
    'The fitting is not finished.',
    'Do the drop-out step of the fitting.',
  ),
  'position-unproved': hold(
    'A leaf has gone fifty strokes on its timed position.',
    'It has no end switches.',
    'Look at the gate and confirm, or pause and start to send it home.',
  ),
  'zero-unknown': hold(
    'The zero of the crate is not known.',
    'The crate was not seen empty and steady since the start.',
    'Empty the crate, clean it, then zero.',
  ),
  'duty-spent': note(
    'An actuator has to rest.',
    'It has run as long as its duty allows.',
    'Wait; it goes on by itself.',
  ),
  'held-long': note(
    'One animal has been held for a minute.',
    'It is waiting for an answer or for the gate.',
    'Answer the call, name its exit by hand, or let it out.',
  ),
} as const satisfies Record<string, Fault>;

export type FaultName = keyof typeof FAULTS;

/** Severity of a fault by its name. */
export function severity(name: FaultName): Fault['severity'] {
  return FAULTS[name].severity;
}
