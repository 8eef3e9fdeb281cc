import type { Mark } from '../../adapters/page/workshop/marks.ts';
import type { AnimalState, TraceView } from '../../adapters/page/workshop/trace-view.ts';

/** What the workshop says; fetched with it. */
export interface WorkshopWords {
  title: string;
  faults: string;
  noFaults: string;
  /** `3 × from 09:12 to 11:40` */
  times: (count: number, first: string, last: string) => string;
  once: (time: string) => string;
  happened: string;
  cause: string;
  remedy: string;
  lockOff: string;
  traces: string;
  tracesAre: string;
  installerOnly: string;
  noTraces: string;
  reading: string;
  failed: string;
  size: (megabytes: string) => string;
  back: string;
  started: (when: string) => string;
  clockNotSet: string;
  madeBy: (version: string, plan: string) => string;
  lasts: (minutes: string) => string;
  chart: string;
  place: string;
  zoom: { in: string; out: string; earlier: string; later: string; whole: string };
  state: Record<AnimalState, string>;
  nobody: string;
  on: (names: string) => string;
  kinds: Record<TraceView['lines'][number]['kind'], string>;
  animalLine: string;
  modeLine: string;
  joined: string;
  marks: Record<Mark['kind'], string>;
  table: string;
  columns: { time: string; what: string; animal: string; kg: string };
  leftOut: (count: number) => string;
  broken: (count: number) => string;
  noWeights: string;
}

export const workshopWords: WorkshopWords = {
  title: 'Workshop',
  faults: 'Faults of the last days',
  noFaults: 'None in the day book.',
  times: (count, first, last) => `${String(count)} ×, from ${first} to ${last}`,
  once: (time) => `at ${time}`,
  happened: 'What happened',
  cause: 'Likely cause',
  remedy: 'What to do',
  lockOff: 'Lock off before you reach into the gate: stop, isolator off and locked, pins pulled.',
  traces: 'Traces',
  tracesAre:
    'All that Fank heard, decided and did, hour by hour. To run one again with other settings: fank replay.',
  installerOnly: 'Traces are opened with the installer’s PIN: they hold tags and weights.',
  noTraces: 'There is none yet.',
  reading: 'Reading the trace …',
  failed: 'Fank did not answer. Try again.',
  size: (megabytes) => `${megabytes} MB`,
  back: 'All traces',
  started: (when) => `Begun ${when}`,
  clockNotSet: 'Begun while the clock was not set; times count from its beginning.',
  madeBy: (version, plan) => `Fank ${version}, plan ${plan}`,
  lasts: (minutes) => `${minutes} minutes`,
  chart: 'Weight over time, kg',
  place: 'Moment',
  zoom: { in: 'Closer', out: 'Wider', earlier: 'Earlier', later: 'Later', whole: 'Whole' },
  state: {
    weighing: 'weighing',
    decided: 'decided, leaves move',
    'not-sure': 'not sure',
    ready: 'let go',
    leaving: 'going out',
  },
  nobody: 'nobody on',
  on: (names) => `On: ${names}`,
  kinds: { input: 'Contact', output: 'Output', link: 'Connection' },
  animalLine: 'Animal',
  modeLine: 'Mode',
  joined: 'short breaks not shown: go closer',
  marks: {
    decided: 'Decided',
    'not-sure': 'Not sure',
    'let-go': 'Let go',
    'backed-out': 'Backed out',
    refused: 'Refused',
    call: 'Call',
    fault: 'Fault',
    'fault-gone': 'Fault gone',
    mode: 'Mode',
    zero: 'Zero',
    'stroke-cut': 'Stroke cut off',
    command: 'Told',
    tag: 'Tag',
  },
  table: 'What happened, as a table',
  columns: { time: 'At', what: 'What', animal: 'No.', kg: 'kg' },
  leftOut: (count) => `${String(count)} more that there is no room for: go closer.`,
  broken: (count) => `${String(count)} lines are damaged and left out.`,
  noWeights: 'No weight came in this time.',
};
