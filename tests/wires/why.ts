/** What the operator sees where a broken wire neither stops the gate nor is named, and why that will do. */
import type { WireFault } from './faults.ts';

const DEAD_BUTTON =
  'a press does nothing, and the page does the same. A button gives no permission to move.';
const HELD_BUTTON = 'counts as one press when it comes on, and as none after: ';

const WORDS: Record<string, Partial<Record<WireFault | 'else', string>>> = {
  backShut: {
    supply:
      'weight counts with the back open: somebody who leans in makes an animal not sure. The back is no way to a leaf.',
    frozen: 'as with *supply* where it was shut.',
    else: 'the animal that is decided goes on; the next one’s weight does not count, so it is called as not sure and held.',
  },
  handsOff: {
    supply:
      'weight counts with a hand on the lever: it is not steady, and called as not sure. The lever is no way to a leaf.',
    frozen: 'as with *supply* where the hand was off.',
    else: 'the animal that is decided goes on; the next one’s weight does not count, so it is called as not sure and held.',
  },
  laneClear: {
    else: 'each exit’s own beam must still break and clear before a stroke; what turns back behind it is not seen. Where this is the only beam, nothing moves after the next crossing until somebody has looked. Break each beam by hand every morning and see the page show it.',
  },
  'laneClear.left': {
    else: 'the strokes shown belong to crossings by another exit, or wait for the lane’s own beam; after a crossing to the left nothing moves until somebody has looked.',
  },
  stopLoop: {
    else: 'nothing shows until somebody presses the stop: its hard-wired contact cuts the power whatever this wire says, and the program then names rail-dead. Press the stop every morning.',
  },
  actuatorPower: {
    else: 'nothing shows while running, since the rail is live; at the next stop rail-live is raised where the gate profile has dropOutMs.',
  },
  startButton: {
    else: 'the wired start does nothing; the page starts, and clears. Nothing moves by itself.',
  },
  'exitButton.left': {
    supply: `${HELD_BUTTON}the animal that is on at that moment is sent left by hand, and shown so.`,
    else: DEAD_BUTTON,
  },
  pauseButton: {
    supply: `${HELD_BUTTON}the gate pauses, and the page and the wired start go on from there.`,
    else: `${DEAD_BUTTON} The stop does not depend on it.`,
  },
  undoButton: {
    supply: `${HELD_BUTTON}a word by hand for the animal that is on is taken back, and shown so.`,
    else: DEAD_BUTTON,
  },
  zeroButton: {
    supply: `${HELD_BUTTON}with an empty crate it is zeroed, which is right; with an animal on it is refused aloud.`,
    else: DEAD_BUTTON,
  },
  answerButton: {
    supply: `${HELD_BUTTON}one call falls silent early; the page still shows it.`,
    else: DEAD_BUTTON,
  },
  volts: {
    supply:
      'the page shows a charging voltage that does not change. A weak battery makes strokes slow: with end switches end-not-reached names it.',
    frozen: 'the page shows a voltage that does not change; as with *supply*.',
  },
  scale: {
    leaking:
      'readings are missing: animals take longer, or are called as not sure. Half of them are enough for a weight with its uncertainty.',
    chattering: 'as with *leaking*; where the silence lasts 1.5 s scale-lost is raised.',
    frozen:
      'the animal that is on goes by what was read; then the crate never reads empty, or the weight does not move, which is called as not sure. A weight alone permits no stroke: front and lane do.',
  },
  reader: {
    frozen:
      'each animal is shown with the same tag. Whether it is free of withdrawal is then another animal’s: compare the last five digits now and then.',
    else: 'an animal whose tag was read before goes on; the next one is called as unread and handled as the plan says.',
  },
};

/** The sentence for this wire and fault. */
export function why(wire: string, fault: WireFault): string {
  const words = WORDS[wire];
  const sentence = words?.[fault] ?? words?.else;
  if (sentence === undefined) throw new Error(`${wire}, ${fault}: nobody says why that will do`);
  return sentence;
}
