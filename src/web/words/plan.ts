import type { Work } from '../../core/sortplan/plan.ts';
import type { Use } from '../../core/sortplan/withdrawal.ts';
import { planRuleWords, type PlanRuleWords } from './plan-rules.ts';

/** What the plan screen says; fetched with it. */
export interface PlanWords extends PlanRuleWords {
  title: string;
  parts: { plan: string; lists: string; treatments: string };
  pick: string;
  inUse: string;
  fresh: string;
  copy: string;
  copyOf: (name: string) => string;
  name: string;
  mob: string;
  mobNone: string;
  workTitle: string;
  work: Record<Work, string>;
  range: string;
  fromKg: string;
  toKg: string;
  lot: (at: number) => string;
  lotName: string;
  exit: string;
  belowKg: string;
  lighter: string;
  heavier: string;
  more: string;
  forSlaughter: string;
  killOn: string;
  killToday: string;
  capacity: string;
  noLimit: string;
  whenFull: string;
  stopAndAsk: string;
  overflowTo: (lot: string) => string;
  spray: string;
  noSpray: string;
  aside: string;
  addLot: string;
  removeLot: string;
  unsure: string;
  unread: string;
  withdrawal: string;
  hold: string;
  toLot: (lot: string) => string;
  toExit: (exit: string) => string;
  leeway: string;
  callAfter: string;
  seconds: string;
  tags: string;
  tagsOn: string;
  tagsOff: string;
  list: string;
  marks: string;
  marksOffered: string;
  past: string;
  weightsOf: string;
  thisSession: string;
  pastSession: (day: string, from: string, head: number) => string;
  noPast: string;
  histogram: (head: number) => string;
  cut: (lighter: string, heavier: string) => string;
  head: (count: number) => string;
  check: string;
  checking: string;
  changeNone: (animals: number) => string;
  change: (moved: number, animals: number) => string;
  move: (head: number, from: string, to: string) => string;
  noLot: string;
  byWeightAlone: string;
  use: string;
  useNow: string;
  save: string;
  saved: string;
  saveFirst: string;
  undo: string;
  signInFirst: string;
  wrong: (count: number) => string;
  kinds: { tags: string; treatments: string; weights: string };
  importTitle: string;
  whatKind: string;
  chooseFile: string;
  paste: string;
  preview: string;
  rows: (count: number) => string;
  unusedColumns: (names: string) => string;
  repeated: (count: number) => string;
  take: string;
  rowErrors: (count: number) => string;
  line: (line: number) => string;
  allOrNothing: string;
  listsThere: string;
  noLists: string;
  usedBy: (plans: string) => string;
  unusedList: string;
  listName: string;
  treatTitle: string;
  caution: string;
  product: string;
  given: string;
  days: string;
  daysHint: string;
  batch: string;
  useKind: string;
  uses: Record<Use, string>;
  givenTo: string;
  toTags: string;
  toMob: string;
  toColour: string;
  tagsHint: string;
  colour: string;
  add: string;
  record: string;
  noneOnRecord: string;
  ofFarm: (farm: string) => string;
  freeOn: (day: string) => string;
  freeSince: (day: string) => string;
  freeUnknown: string;
  period: (days: number) => string;
  tagCount: (count: number) => string;
  correct: string;
  never: string;
  why: string;
  putRight: string;
  close: string;
}

const HEAD = (count: number): string => `${String(count)} head`;
const ROWS = (count: number): string => (count === 1 ? '1 row' : `${String(count)} rows`);

export const planWords: PlanWords = {
  title: 'Sort plan',
  parts: { plan: 'Plan', lists: 'Lists', treatments: 'Treatments' },
  pick: 'Plan',
  inUse: 'in use',
  fresh: 'New plan',
  copy: 'Copy',
  copyOf: (name) => `${name} copy`.slice(0, 40),
  name: 'Name',
  mob: 'Mob',
  mobNone: 'Without a name any treatment may concern it.',
  workTitle: 'Kind of work',
  work: {
    'weigh-and-sort': 'Weigh and sort',
    'weigh-only': 'Weigh only',
    'sort-only': 'Sort only',
    'count-only': 'Count only',
  },
  range: 'Weights of this mob',
  fromKg: 'From, kg',
  toKg: 'To, kg',
  lot: (at) => `Lot ${String(at + 1)}`,
  lotName: 'Lot',
  exit: 'Goes',
  belowKg: 'Below, kg',
  lighter: 'Half a kilogram less',
  heavier: 'Half a kilogram more',
  more: 'More',
  forSlaughter: 'For slaughter',
  killOn: 'Killed on',
  killToday: 'Today if left empty.',
  capacity: 'Head that fit',
  noLimit: 'No limit if left empty.',
  whenFull: 'When full',
  stopAndAsk: 'Hold and ask',
  overflowTo: (lot) => `Over to ${lot}`,
  spray: 'Spray',
  noSpray: 'Colour; nothing if left empty.',
  aside: 'Not by weight',
  addLot: 'One more lot',
  removeLot: 'Take this lot out',
  unsure: 'Not sure',
  unread: 'Tag not read',
  withdrawal: 'In withdrawal',
  hold: 'Hold and ask',
  toLot: (lot) => `To ${lot}`,
  toExit: (exit) => exit,
  leeway: 'Leeway at the cut, kg',
  callAfter: 'Call after',
  seconds: 's',
  tags: 'Tags',
  tagsOn: 'Sort by tags too',
  tagsOff: 'Nothing waits for a tag.',
  list: 'Those on this list go',
  marks: 'Marks',
  marksOffered: 'Offered at the race, three at the most',
  ...planRuleWords,
  past: 'Try it on',
  weightsOf: 'Weights of',
  thisSession: 'this session',
  pastSession: (day, from, head) => `${day} ${from}, ${HEAD(head)}`,
  noPast: 'No weights yet. A past session, or this one after 30 animals, is shown here.',
  histogram: (head) => `Weights of ${HEAD(head)}, a bar for each kilogram`,
  cut: (lighter, heavier) => `Cut between ${lighter} and ${heavier}`,
  head: HEAD,
  check: 'What would change',
  checking: 'Looking …',
  changeNone: (animals) => `All ${HEAD(animals)} would go where they went by the plan as it was.`,
  change: (moved, animals) => `${String(moved)} of ${HEAD(animals)} would go elsewhere:`,
  move: (head, from, to) => `${HEAD(head)}: ${from} → ${to}`,
  noLot: 'no lot',
  byWeightAlone: 'By weight and marks alone, as the day book has them.',
  use: 'Use this plan',
  useNow: 'Use it now',
  save: 'Save',
  saved: 'Saved.',
  saveFirst: 'Save and use it now',
  undo: 'Undo changes',
  signInFirst: 'Sign in to save or use a plan.',
  wrong: (count) => (count === 1 ? 'One thing is wrong.' : `${String(count)} things are wrong.`),
  kinds: { tags: 'Tag list', treatments: 'Treatments', weights: 'Earlier weights' },
  importTitle: 'From a spreadsheet (CSV)',
  whatKind: 'What is in it',
  chooseFile: 'Choose a file',
  paste: 'Or paste it here',
  preview: 'Look at it first',
  rows: ROWS,
  unusedColumns: (names) => `Not used: ${names}`,
  repeated: (count) => `${ROWS(count)} said twice`,
  take: 'Take all of it',
  rowErrors: (count) => `Nothing was taken. Wrong: ${ROWS(count)}.`,
  line: (line) => `Row ${String(line)}`,
  allOrNothing: 'All of it is taken, or nothing.',
  listsThere: 'Tag lists',
  noLists: 'No tag lists yet.',
  usedBy: (plans) => `used by ${plans}`,
  unusedList: 'used by no plan',
  listName: 'Name of the list',
  treatTitle: 'Add a treatment',
  caution:
    'Label, vet and local law decide how long an animal must be kept. Fank only counts the days.',
  product: 'Product',
  given: 'Last dose on',
  days: 'Withdrawal for meat, days',
  daysHint: 'Whole days from the label, or unclear: held then.',
  batch: 'Batch',
  useKind: 'Used',
  uses: {
    label: 'By the label',
    'off-label': 'Off the label',
    'not-for-food': 'Not for food animals',
  },
  givenTo: 'Given to',
  toTags: 'Tags',
  toMob: 'Whole mob',
  toColour: 'Colour mark',
  tagsHint: '15 digits each, one a line.',
  colour: 'Colour',
  add: 'Add to the record',
  record: 'On record',
  noneOnRecord: 'No treatments on record.',
  ofFarm: (farm) => `Of ${farm}. Another farm’s are shown in its own session.`,
  freeOn: (day) => `Held. Free on ${day}`,
  freeSince: (day) => `Free since ${day}`,
  freeUnknown: 'Held. Free day not known',
  period: (days) => `${String(days)} days count`,
  tagCount: (count) => (count === 1 ? '1 tag' : `${String(count)} tags`),
  correct: 'Correct',
  never: 'Was never given',
  why: 'Why',
  putRight: 'Put it right',
  close: 'Close',
};
