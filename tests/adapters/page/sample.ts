/** An invented race for the page's tests: two leaves, three exits, three lots. */
import type { SessionShown } from '../../../src/adapters/session.ts';
import type { Layout, Snapshot } from '../../../src/adapters/page/messages.ts';

export const layout: Layout = {
  id: 1,
  plan: 'September draft',
  exits: [
    { exit: 'left', flashes: 1, ends: { leafA: 'extended', leafB: 'retracted' } },
    { exit: 'ahead', flashes: 2, ends: { leafA: 'retracted', leafB: 'retracted' } },
    { exit: 'right', flashes: 3, ends: { leafA: 'retracted', leafB: 'extended' } },
  ],
  leaves: [
    { name: 'leafA', travelMs: 900 },
    { name: 'leafB', travelMs: 900 },
  ],
  lots: [
    {
      name: 'Stores',
      exit: 'left',
      belowKg: 40,
      capacity: null,
      aside: false,
      forSlaughter: false,
    },
    { name: 'Fit', exit: 'ahead', belowKg: 45, capacity: 60, aside: false, forSlaughter: true },
    {
      name: 'Heavy',
      exit: 'right',
      belowKg: null,
      capacity: null,
      aside: false,
      forSlaughter: true,
    },
  ],
  work: 'weigh-and-sort',
  marks: [],
  divisionKg: 0.1,
  simulated: true,
};

/** A race that is stopped and empty, with what `change` says instead. */
export function snapshot(change: Partial<Snapshot> = {}): Snapshot {
  return {
    seq: 1,
    t: 1000,
    layout: 1,
    mode: 'stopped',
    why: null,
    session: null,
    weight: { kg: 0, ageMs: 40, u95Kg: null, state: 'empty' },
    animal: null,
    decision: null,
    letGo: null,
    leaves: [
      { at: 'retracted', moving: null, assumed: true },
      { at: 'retracted', moving: null, assumed: true },
    ],
    standsAt: 'ahead',
    waits: [],
    filling: [],
    tagsOff: false,
    head: [0, 0, 0],
    last: [],
    links: { scale: true, relays: true, records: true },
    volts: 12.6,
    batteryLow: false,
    faults: [],
    asks: [],
    refused: null,
    doseMl: null,
    sessionRev: 1,
    ...change,
  };
}

export function sessionShown(change: Partial<SessionShown> = {}): SessionShown {
  return {
    ...{ id: 'S1', begun: '08:00', choose: false, head: 2, perLot: { Stores: 1, Fit: 1 } },
    words: {
      ...{ farm: 'Upper', holding: 'XX 12/345', flockMark: 'XX0123', mob: 'Gimmers' },
      ...{ field: 'Brae', hoursOffFeed: 12, fleece: 'dry', who: 'A. Person' },
    },
    penOf: { ahead: 'ahead 2' },
    pens: [
      { pen: 'left', exit: 'left', head: 1, open: true },
      { pen: 'ahead 2', exit: 'ahead', head: 1, open: true },
    ],
    again: [],
    recent: [
      {
        ...{ animal: 2, tag: '999000000001337', kg: 41.2, lot: 'Fit', exit: 'ahead' },
        ...{ pen: 'ahead 2', notCounted: null, unsure: false, dose: 8.5, putRight: [] },
      },
      {
        ...{ animal: 1, tag: null, kg: 35, lot: 'Stores', exit: 'left', pen: 'left' },
        ...{ notCounted: null, unsure: false, dose: null, putRight: [] },
      },
    ],
    given: null,
    offered: [],
    clock: { set: true, local: '2026-09-14T09:00:00' },
    ...change,
  };
}
