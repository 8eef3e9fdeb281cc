/** What listening on the weigh head's line says; fetched with the Fitting screen. */
export interface ListenWords {
  title: string;
  how: string;
  poll: string;
  pollHow: string;
  every: string;
  listen: string;
  again: string;
  stop: string;
  opening: (opening: string) => string;
  nothing: string;
  raw: string;
  reads: string;
  moving: string;
  steady: string;
  notYet: string;
  sure: string;
  anySpeed: string;
  speed: (baud: string, framing: string) => string;
  period: (ms: string) => string;
  atRest: (kg: string) => string;
  why: string;
  doubts: string;
  known: string;
  confirm: string;
  waiting: (kg: string) => string;
  confirmed: (kg: string) => string;
  name: string;
  write: string;
  writeUnsure: string;
  written: (name: string) => string;
  wrongKg: string;
  wrongName: string;
  wrongEvery: string;
}

export const listenWords: ListenWords = {
  title: 'Find out what the weigh head sends',
  how: 'For a head without a manual. The race stands still meanwhile. Fank sends nothing. Have something put on and taken off. It ends after three minutes.',
  poll: 'Send this, if it speaks only when asked',
  pollHow:
    'Leave it empty to send nothing. \\r and \\n stand for the ends of a line, \\x05 for the byte 05.',
  every: 'From one question to the next, ms',
  listen: 'Listen',
  again: 'Listen again',
  stop: 'Stop listening',
  opening: (opening) => `Listening at ${opening}.`,
  nothing: 'Nothing heard yet.',
  raw: 'Bytes as they come',
  reads: 'Read as',
  moving: 'in motion',
  steady: 'steady',
  notYet: 'Not sure yet.',
  sure: 'Sure of everything.',
  anySpeed: 'Alike at every speed.',
  speed: (baud, framing) => `${baud} bits a second, ${framing}.`,
  period: (ms) => `A reading every ${ms} ms.`,
  atRest: (kg) => `Last at rest: ${kg} kg.`,
  why: 'How it was found out',
  doubts: 'Not sure because',
  known: 'Known weight on the crate, kg',
  confirm: 'Confirm with it',
  waiting: (kg) => `Waiting for ${kg} kg to lie at rest.`,
  confirmed: (kg) => `Confirmed with ${kg} kg.`,
  name: 'Name of the profile',
  write: 'Write the profile',
  writeUnsure: 'Write it although not sure',
  written: (name) =>
    `Written: profiles/${name}.yaml. Name it in site.yaml as profiles, scale: ${name}, and start Fank again.`,
  wrongKg: 'The weight has to be a number over 0.',
  wrongName: 'Small letters, figures and hyphens only.',
  wrongEvery: 'From 20 to 60000 ms.',
};
