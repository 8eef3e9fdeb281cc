import type { SoundName } from '../card/sounds.ts';

/** What the yard card says; fetched with it. */
export interface CardWords {
  title: string;
  print: string;
  stopTitle: string;
  stop: string[];
  stopPicture: string;
  pinTitle: string;
  pin: string[];
  pinPicture: string;
  gateTitle: string;
  gatePicture: string;
  lampTitle: string;
  lamp: string;
  flashes: (count: number) => string;
  lots: (names: string) => string;
  soundTitle: string;
  sound: string;
  sounds: Record<SoundName, { name: string; means: string }>;
  orderTitle: string;
  order: string[];
  codeTitle: string;
  code: string;
  codePicture: (address: string) => string;
  noCode: string;
  law: string;
}

export const cardWords: CardWords = {
  title: 'Yard card',
  print: 'Print this card',
  stopTitle: 'Stop',
  stop: [
    'Push the red stop. It cuts the power of the leaves by itself.',
    'Stop on a phone is not the emergency stop.',
    'Turning it back starts nothing. Only a person who sees the whole gate starts again.',
  ],
  stopPicture: 'A red push button on yellow, and an arrow that pushes it.',
  pinTitle: 'Before you reach in',
  pin: [
    'Stop. Isolator off, lock it, keep the key. Try that nothing moves.',
    'To free somebody: pull the pin of the leaf and swing it by hand.',
  ],
  pinPicture: 'A pin that is drawn out of the end of a leaf.',
  gateTitle: 'Left is left as the animals walk',
  gatePicture: 'The gate from above, animals walking up, with its exits from left to right.',
  lampTitle: 'The lamp says let go, and where',
  lamp: 'So many flashes, a pause, again. No flashing: hold. The sounder gives the same once.',
  flashes: (count) => (count === 1 ? '1 flash' : `${String(count)} flashes`),
  lots: (names) => `for ${names}`,
  soundTitle: 'What the sounder says',
  sound: 'Each picture is five seconds.',
  sounds: {
    trip: { name: 'Quick, without end', means: 'Fault: all stopped. Look, read the page, clear.' },
    warning: { name: 'One long sound', means: 'A leaf is about to move: hands off.' },
    refused: { name: 'One long, two short', means: 'Not there: still in withdrawal.' },
    call: { name: 'Long and slow', means: 'Call: look at the page, answer, or name the exit.' },
    held: {
      name: 'Three short, again',
      means: 'One animal is held for a minute: send it or let it out.',
    },
    filling: { name: 'Two short, one long', means: 'A lot is nearly full, or full.' },
    marked: { name: 'One tick', means: 'A mark was given.' },
    unmarked: { name: 'Two ticks', means: 'A mark was taken away.' },
  },
  orderTitle: 'Each animal',
  order: [
    'Back gate shut, hands off the crate.',
    'Wait for the lamp. Never open the front while a leaf moves.',
    'Let it go, let it pass the gate, shut the front.',
  ],
  codeTitle: 'The page',
  code: 'Point a phone’s camera here, then type your PIN. The PIN is not on this card.',
  codePicture: (address) => `A code that leads to ${address}`,
  noCode: 'Fank did not answer: open this card again for the code.',
  law: 'Nobody but the one who works the gate within reach of the leaves; no children. Local codes and licensed practice decide. Not for trade use.',
};
