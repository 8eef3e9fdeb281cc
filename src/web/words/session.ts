/** What the place Session says; fetched with it. */
import type { SessionWords as Told } from '../../adapters/session.ts';
import type { Use } from '../../core/sortplan/withdrawal.ts';

export interface SessionTexts {
  title: string;
  choose: (time: string, mob: string | null, head: number) => string;
  carryOn: string;
  orAnother: string;
  clockUnset: (local: string) => string;
  clockByPhone: string;
  clockSet: string;
  cameAgain: (ends: string, animals: string) => string;
  same: string;
  misread: (animal: number) => string;
  pens: string;
  head: (count: number) => string;
  noLot: string;
  nowhere: string;
  shut: string;
  runAgain: string;
  newPen: string;
  opened: (exit: string) => string;
  animals: string;
  animalsHow: string;
  noTag: string;
  doseUnknown: string;
  ml: (ml: number) => string;
  tag: string;
  setTag: string;
  pulledOut: string;
  went: string;
  notGiven: string;
  notCounted: (why: string) => string;
  putRight: string;
  takeBack: string;
  described: string;
  lastTime: string;
  fields: Record<keyof Told, string>;
  fleece: Record<NonNullable<Told['fleece']>, string>;
  keep: string;
  kept: string;
  another: string;
  anotherIs: string;
  begun: string;
  givenToday: string;
  caution: string;
  given: Record<'product' | 'batch' | 'expiry' | 'perKg' | 'step' | 'days', string>;
  use: string;
  uses: Record<Use, string>;
  give: string;
  givenMissing: string;
  givenFromNow: string;
  givenIs: (batch: string, expiry: string, mlPerKg: number, stepMl: number) => string;
  used: (ml: number, doses: number) => string;
  unknown: (animals: number) => string;
  noMore: string;
  nothingGiven: string;
}

export const sessionWords: SessionTexts = {
  title: 'Session',
  choose: (time, mob, head) =>
    `A session was begun at ${time}${mob === null ? '' : ` with ${mob}`}: ${String(head)} head so far. ` +
    'Carry on with it? Its numbers and its head per lot go on.',
  carryOn: 'Carry on',
  orAnother: 'Or begin another session below. Pressing start carries on.',
  clockUnset: (local) =>
    `Fank’s clock says ${local}, and nothing has set it since the power came on: days and times would be wrong.`,
  clockByPhone: 'Take the time from this phone',
  clockSet: 'The clock is set. What was written since the power came on is put right.',
  cameAgain: (ends, animals) =>
    `The tag ending ${ends} came more than once: animals ${animals}. It counts once.`,
  same: 'It is the same animal',
  misread: (animal) => `Animal ${String(animal)} is another: its tag was misread`,
  pens: 'Head per lot and pen',
  head: (count) => `${String(count)} head`,
  noLot: 'No lot',
  nowhere: 'Not known where',
  shut: '(gated off)',
  runAgain: 'Run this pen again',
  newPen: 'New pen: from now on this exit leads to another one',
  opened: (exit) => `${exit} leads to a new pen from now on.`,
  animals: 'Put right',
  animalsHow: 'Tap an animal. What was written is kept beside what you say.',
  noTag: 'No tag',
  doseUnknown: 'dose not known',
  ml: (ml) => `${String(ml)} ml`,
  tag: 'Tag, all 15 digits',
  setTag: 'Set tag',
  pulledOut: 'Pulled out',
  went: 'Went to the other pen',
  notGiven: 'Was given nothing',
  notCounted: (why) => `Not counted: ${why}`,
  putRight: 'Put right by hand',
  takeBack: 'Take that back',
  described: 'Whose animals',
  lastTime: 'As it was last time on',
  fields: {
    farm: 'Farm',
    holding: 'Holding number',
    flockMark: 'Flock mark',
    mob: 'Mob',
    field: 'Field',
    hoursOffFeed: 'Hours off feed',
    fleece: 'Fleece',
    who: 'Who works',
  },
  fleece: { dry: 'Dry', damp: 'Damp', wet: 'Wet' },
  keep: 'Keep this',
  kept: 'Kept with the session.',
  another: 'Begin another session',
  anotherIs:
    'Another session counts from animal 1, with no head in any lot and nothing given. Stop first.',
  begun: 'Another session is begun; it is written at its first start.',
  givenToday: 'Given today',
  caution:
    'Label and vet decide what is given and how long it holds. The dose goes by the weight, up to the ' +
    'next step of the gun, and is shown only once the weight is sure.',
  given: {
    product: 'Product',
    batch: 'Batch',
    expiry: 'Last day of use',
    perKg: 'ml per kg',
    step: 'Steps of the gun, ml',
    days: 'Withdrawal for meat, whole days; empty where unclear: then it holds',
  },
  use: 'Used',
  uses: { label: 'By its label', 'off-label': 'Off label', 'not-for-food': 'Not for food animals' },
  give: 'Give this to every animal from now on',
  givenMissing: 'Product, ml per kg and steps are needed; days of withdrawal are a whole number.',
  givenFromNow: 'Every animal counts as given this from now on.',
  givenIs: (batch, expiry, mlPerKg, stepMl) =>
    [
      ...(batch === '' ? [] : [`batch ${batch}`]),
      ...(expiry === '' ? [] : [`to be used by ${expiry}`]),
      `${String(mlPerKg)} ml per kg`,
      `steps of ${String(stepMl)} ml`,
    ].join(', '),
  used: (ml, doses) => `${String(ml)} ml used in ${String(doses)} doses`,
  unknown: (animals) =>
    `${String(animals)} passed with no dose shown: they count as treated until somebody says otherwise.`,
  noMore: 'Nothing more from now on',
  nothingGiven: 'From now on nothing is given.',
};
