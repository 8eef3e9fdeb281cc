import { expect, test } from 'vitest';
import { openBook } from '../../../src/adapters/records/book-for-page.ts';
import type { RowMessage } from '../../../src/adapters/records/messages.ts';
import type { Event } from '../../../src/core/trace.ts';
import { session, siteFolder, wall, writeRows } from './example.ts';

const DAY_MS = 86_400_000;

function event(ms: number, what: Event): RowMessage {
  return { kind: 'event', session: 'S1', t: ms, event: what, wall: wall(ms) };
}

test('faults are told by day and name, the newest day first, with how often and when', () => {
  const siteDir = siteFolder();
  writeRows(siteDir, [
    session('S1'),
    event(0, { kind: 'fault', fault: 'stop-pressed', on: true }),
    event(1000, { kind: 'fault', fault: 'stop-pressed', on: false }),
    event(3_600_000, { kind: 'fault', fault: 'stop-pressed', on: true }),
    event(DAY_MS, { kind: 'fault', fault: 'duty-spent', on: true, detail: 'leafA' }),
    event(2 * DAY_MS, { kind: 'mode', mode: 'running', why: 'a person started' }),
  ]);
  // By the clock of London in summer: an hour ahead of UTC.
  expect(openBook(siteDir).faults(30)).toEqual([
    {
      day: '2026-09-13',
      fault: 'duty-spent',
      times: 1,
      first: '09:00',
      last: '09:00',
      detail: 'leafA',
    },
    {
      day: '2026-09-12',
      fault: 'stop-pressed',
      times: 2,
      first: '09:00',
      last: '10:00',
      detail: null,
    },
  ]);
  expect(openBook(siteDir).faults(2)).toHaveLength(1);
});
