import { expect, it } from 'vitest';
import { readDay } from '../../../src/adapters/records/day-book.ts';
import type { Correction, RowMessage } from '../../../src/adapters/records/messages.ts';
import { openRows } from '../../../src/adapters/records/rows.ts';
import type { FromWorker } from '../../../src/adapters/records/messages.ts';
import { openForReading } from '../../../src/adapters/records/reader.ts';
import { HEADER, letGo, session, siteFolder, wall, writeRows } from './example.ts';

const DAY_MS = 86_400_000;
const plan = (name: string, exit: string) => ({
  ...{ name, hash: name },
  resolved: { lots: [{ name: 'Fit', exit }] },
});

function said(
  id: string,
  animal: number,
  kind: Correction['kind'],
  value: Correction['value'],
  ms = 90_000,
): RowMessage {
  const correction = { session: id, animal, kind, value, who: 'Mairi', why: null, past: true };
  return { kind: 'correction', correction, wall: wall(ms) };
}

/** The morning's session, in which `left 2` was opened, and the one that is on. */
function day(): RowMessage[] {
  return [
    session('morning', { plan: plan('one', 'left') }),
    letGo(1, { session: 'morning', lot: 'Stores', exit: 'ahead', tag: '999000000000001' }),
    { kind: 'pen', session: 'morning', exit: 'left', pen: 'left 2', wall: wall(15_000) },
    letGo(2, { session: 'morning', lot: 'Stores', exit: 'ahead' }),
    session('on', { plan: plan('two', 'right') }),
    letGo(5, { session: 'on' }),
  ];
}

it('puts an animal into the lot, exit and pen that its own plan and session had', () => {
  const siteDir = siteFolder();
  const wrong = [
    said('morning', 2, 'lot', 'Heavy'),
    said('morning', 9, 'void', true),
    said('nobody', 1, 'void', true),
    said('morning', 2, 'void', true, DAY_MS),
  ];
  writeRows(siteDir, [...day(), said('morning', 1, 'lot', 'Fit'), ...wrong]);
  const db = openForReading(siteDir);
  const book = readDay(db, null);
  expect(book?.rows.map(({ lot, exit, pen }) => [lot, exit, pen])).toEqual([
    ['Fit', 'left', 'left 2'],
    ['Stores', 'ahead', 'ahead'],
    ['Fit', 'ahead', 'ahead'],
  ]);
  expect(book?.rows.every(({ notCounted }) => notCounted === null)).toBe(true);
  const count = (table: string) => db.prepare(`SELECT count(*) FROM ${table}`).pluck().get();
  expect([count('correction'), count('session')]).toEqual([3, 2]);
  // The session that is on is still the one whose tags are not in the list yet.
  expect(db.prepare('SELECT id FROM session WHERE seen = 0').pluck().all()).toEqual(['on']);
  db.close();
});

it('tells how the session that is over stands, and nothing of the one that is on', () => {
  const siteDir = siteFolder();
  writeRows(siteDir, day());
  const told: FromWorker[] = [];
  const more = { header: HEADER, state: {}, resume: null, maxTraceBytes: 0, slowMs: 0 };
  const rows = openRows({ siteDir, zone: 'Europe/London', version: '0', ...more }, (answer) => {
    told.push(answer);
  });
  rows.push(1, said('morning', 1, 'void', true));
  rows.write();
  rows.close();
  const standing = told.flatMap((one) => (one.kind === 'session' ? [one] : []));
  expect(standing).toMatchObject([{ put: {}, now: { info: { id: 'morning' }, head: 1 } }]);
});
