/** Two days of a farm, for the day book: sixty lambs in September, weighed again a fortnight later. */
import type { RowMessage } from '../../src/adapters/records/messages.ts';
import type { Crossing, Event } from '../../src/core/trace.ts';
import { letGo, session, wall, writeRows } from '../adapters/records/example.ts';

const DAY_MS = 86_400_000;
const LATER_MS = 14 * DAY_MS;
const PLAN = {
  name: 'September draft',
  hash: 'x',
  resolved: {
    animals: { fromKg: 12, toKg: 65 },
    lots: [{ name: 'Stores', belowKg: 40 }, { name: 'Fit', belowKg: 45 }, { name: 'Heavy' }],
  },
};
const tag = (n: number): string => `9990000012${String(31_000 + n).padStart(5, '0')}`;

function lotOf(kg: number): { lot: string; exit: string } {
  if (kg < 40) return { lot: 'Stores', exit: 'left' };
  return kg < 45 ? { lot: 'Fit', exit: 'ahead' } : { lot: 'Heavy', exit: 'right' };
}

/** Weights that look like a flock's without being drawn by chance. */
function kgOf(n: number): number {
  return 34 + ((n * 37) % 100) / 9;
}

function gainOf(n: number): number {
  return ((n * 53) % 70) / 14 - 0.4;
}

function lamb(id: string, n: number, kg: number, ms: number, changes: Partial<Crossing> = {}) {
  const recordedKg = Math.round(kg * 100) / 100;
  const all = { session: id, tag: tag(n), recordedKg, ...lotOf(kg), ...changes };
  return letGo(n, all, wall(ms + n * 12_000));
}

function event(id: string, ms: number, what: Event): RowMessage {
  return { kind: 'event', session: id, t: ms, event: what, wall: wall(ms) };
}

/** Fills a site folder; gives the tag of the first lamb. */
export function fillBook(siteDir: string): string {
  const said = {
    ...{ farm: 'Low Fold', holding: 'ZZ 99/999/9999', flockMark: 'ZZ 0000', mob: 'Twins' },
    ...{ field: 'Top park', hoursOffFeed: 2, plan: PLAN },
  };
  const numbers = Array.from({ length: 60 }, (_, i) => i + 1);
  const odd: Record<number, Partial<Crossing>> = {
    7: { tag: null, rule: 'by-hand', reason: 'sent by hand' },
    12: { unsure: true, lot: null },
    19: { flags: ['let-out-early'] },
    23: { rule: 'withdrawal', reason: 'still in withdrawal, free on 2026-10-02', lot: 'Stores' },
  };
  writeRows(siteDir, [
    session('S1', { ...said, fleece: 'dry' }),
    ...numbers.map((n) => lamb('S1', n, kgOf(n), 0)),
    session('S2', { ...said, fleece: 'wet' }),
    event('S2', LATER_MS, { kind: 'mode', mode: 'running', why: 'start' }),
    ...numbers.slice(0, 56).map((n) => lamb('S2', n, kgOf(n) + gainOf(n), LATER_MS, odd[n])),
    event('S2', LATER_MS + 500_000, { kind: 'fault', fault: 'stop-pressed', on: true }),
    event('S2', LATER_MS + 500_000, { kind: 'mode', mode: 'fault', why: 'stop pressed' }),
    event('S2', LATER_MS + 590_000, { kind: 'mode', mode: 'running', why: 'start' }),
    {
      kind: 'correction',
      correction: {
        ...{ session: 'S2', animal: 30, kind: 'lot', value: 'Heavy' },
        ...{ who: 'operator 1', why: 'went the wrong way' },
      },
      wall: wall(LATER_MS + 700_000),
    },
  ]);
  return tag(1);
}
