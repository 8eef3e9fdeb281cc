import { expect, it } from 'vitest';
import type { RowMessage } from '../../../src/adapters/records/messages.ts';
import { openForReading } from '../../../src/adapters/records/reader.ts';
import { letGo, session, siteFolder, wall, writeRows } from './example.ts';

const WRONG = Date.UTC(2026, 0, 1);
const DELTA = Date.UTC(2026, 8, 12, 8) - WRONG;
const unset = (ms: number) => ({ atMs: WRONG + ms, clockSet: false });

function given(id: string, ms: number): RowMessage {
  const what = { product: 'Drench', batch: 'B', expiry: '', mlPerKg: 0.2, stepMl: 0.5 };
  const more = { days: 14, use: 'label' } as const;
  return { kind: 'given', session: id, given: { ...what, ...more }, who: null, wall: unset(ms) };
}

function check(ms: number): RowMessage {
  const read = { massKg: 20, middleKg: 20, cornersKg: [], maxKg: 200, divisionKg: 0.1, who: null };
  return { kind: 'check-weight', check: read, wall: unset(ms) };
}

function said(id: string, ms: number): RowMessage[] {
  const plan = { name: 'P', hash: `${id} ${String(ms)}`, resolved: {} };
  const correction = { session: id, animal: 1, kind: 'lot', value: 'Fit' } as const;
  return [
    given(id, ms),
    check(ms),
    { kind: 'pen', session: id, exit: 'left', pen: 'left 2', wall: unset(ms) },
    { kind: 'plan', session: id, plan, wall: unset(ms) },
    { kind: 'correction', correction: { ...correction, who: null, why: null }, wall: unset(ms) },
  ];
}

it('puts right all that the session wrote since the start, and nothing from before it', () => {
  const siteDir = siteFolder();
  const since = { animal: 1, atMs: WRONG + 5000 };
  // Another start, by a clock that stood at the same wrong time.
  writeRows(siteDir, [session('S0'), ...said('S0', 7000), check(8000)]);
  writeRows(siteDir, [
    session('S1'),
    ...said('S1', 2000),
    letGo(1, {}, unset(6000)),
    ...said('S1', 7000),
    { kind: 'mend', session: 'S1', since, deltaMs: DELTA, wall: wall(0) },
  ]);
  const db = openForReading(siteDir);
  for (const table of ['given', 'check_weight', 'pen', 'session_plan', 'correction']) {
    const rows = db.prepare(`SELECT at_ms, clock_set FROM ${table} ORDER BY n`).raw().all();
    expect(rows.slice(-1), table).toEqual([[WRONG + 7000 + DELTA, 2]]);
    const untouched = rows.slice(0, -1) as [number, number][];
    expect(untouched.length, table).toBeGreaterThanOrEqual(2);
    for (const [atMs, set] of untouched) {
      expect(atMs, table).toBeLessThan(WRONG + 9000);
      expect(set, table).toBe(0);
    }
  }
  for (const table of ['given', 'check_weight']) {
    const day = db.prepare(`SELECT day FROM ${table} ORDER BY n DESC LIMIT 1`).pluck().get();
    expect(day).toBe('2026-09-12');
  }
  db.close();
});
