import type { AnimalFacts, Plan } from '../../../src/core/sortplan/plan.ts';

/** The plan that a new site starts with, with tags: stores below 40, fit 40 to 45, heavy from 45. */
export const draft: Plan = {
  name: 'September draft',
  animals: { fromKg: 12, toKg: 65 },
  lots: [
    { name: 'Stores', exit: 'left', belowKg: 40 },
    { name: 'Fit', exit: 'ahead', belowKg: 45, forSlaughter: true, capacity: 60, whenFull: 'stop' },
    { name: 'Heavy', exit: 'right', forSlaughter: true },
  ],
  decide: {
    hysteresisKg: 0.3,
    settle: { withinKg: 0.5, forMs: 1000 },
    confidence: 0.995,
    callAfterMs: 5000,
  },
  unsure: 'hold',
  tags: {
    lists: [{ file: 'keep-back.csv', lot: 'Stores' }],
    withdrawal: { lot: 'Stores' },
    unread: 'hold',
  },
};

/** An animal that weighs 41.6 kg for sure, with a tag of which nothing bad is known. */
export const lamb: AnimalFacts = {
  kg: 41.6,
  uKg: 0.08,
  basis: 'sure',
  unsure: null,
  tag: '999000000001337',
  known: { held: false, list: null, lastKg: null, lastDays: null },
  byHand: null,
  marks: [],
  afterMs: 800,
  previousLot: null,
};
