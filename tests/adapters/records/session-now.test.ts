import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import type { Correction, RowMessage } from '../../../src/adapters/records/messages.ts';
import type { Given } from '../../../src/core/sortplan/dosing.ts';
import { readDay, readSession, sessionReader } from '../../../src/adapters/records/day-book.ts';
import { checkBackup } from '../../../src/adapters/records/backup.ts';
import { forgetFarm } from '../../../src/adapters/records/forget.ts';
import { lastWeights } from '../../../src/adapters/records/last-weights.ts';
import { dayGains } from '../../../src/adapters/records/gain.ts';
import { openForWriting } from '../../../src/adapters/records/schema.ts';
import { openStore } from '../../../src/adapters/records/store.ts';
import { openForReading } from '../../../src/adapters/records/reader.ts';
import {
  lastOfFarms,
  lastSession,
  sessionNow,
  type SessionNow,
} from '../../../src/adapters/records/session-now.ts';
import { raceTreatments } from '../../../src/adapters/records/treatments.ts';
import {
  letGo,
  MORNING,
  once,
  recordsOf,
  session,
  siteFolder,
  wall,
  writeRows,
} from './example.ts';

const TAG = '999000000001337';
const WORM: Given = {
  product: 'Drench A',
  batch: 'B7',
  expiry: '2027-01-31',
  mlPerKg: 0.2,
  stepMl: 0.5,
  days: 14,
  use: 'label',
};

type Crossed = Extract<RowMessage, { kind: 'crossing' }>;

function said(
  animal: number,
  kind: Correction['kind'],
  value: Correction['value'],
  why: string | null = null,
): RowMessage {
  return {
    kind: 'correction',
    correction: { session: 'S1', animal, kind, value, who: 'phone 1', why },
    wall: wall(900_000),
  };
}

const pen = (exit: string, name: string): RowMessage => ({
  ...{ kind: 'pen', session: 'S1', exit, pen: name },
  wall: wall(0),
});
const again = (name: string): RowMessage => ({
  ...{ kind: 'run-again', session: 'S1', pen: name, who: 'phone 1' },
  wall: wall(900_000),
});

function now(siteDir: string, id = 'S1'): SessionNow {
  const db = openForReading(siteDir);
  try {
    const found = sessionNow(db, id);
    if (found === null) throw new Error(`no session ${id}`);
    return found;
  } finally {
    db.close();
  }
}

function after(rows: RowMessage[]): SessionNow {
  const siteDir = siteFolder();
  writeRows(siteDir, [session('S1'), ...rows]);
  return now(siteDir);
}

describe('head per lot and per pen', () => {
  it('a pen that is gated off keeps its head, the lot goes on in the next one', () => {
    const it = after([letGo(1), letGo(2), pen('ahead', 'ahead 2'), letGo(3)]);
    expect(it.perLot).toEqual({ Fit: 3 });
    expect(it.counts).toEqual({ Fit: 1 });
    expect(it.penOf).toEqual({ ahead: 'ahead 2' });
    expect(it.pens).toEqual([
      { pen: 'ahead', exit: 'ahead', head: 2, open: false },
      { pen: 'ahead 2', exit: 'ahead', head: 1, open: true },
    ]);
  });

  it('one pulled out counts no longer, and again when that is taken back', () => {
    const out = [letGo(1), letGo(2), said(1, 'void', true, 'pulled out')];
    expect(after(out)).toMatchObject({ head: 1, counts: { Fit: 1 } });
    expect(after(out).recent[1]).toMatchObject({ notCounted: 'pulled out', putRight: ['void'] });
    expect(after([...out, said(1, 'void', null)])).toMatchObject({ head: 2, counts: { Fit: 2 } });
  });

  it('one that went to the other pen counts there, and stays as written beside it', () => {
    const it = after([
      letGo(1),
      letGo(2),
      said(2, 'lot', 'Stores'),
      said(2, 'exit', 'left'),
      said(2, 'pen', 'left'),
    ]);
    expect(it.perLot).toEqual({ Fit: 1, Stores: 1 });
    expect(it.pens.map(({ pen: name, head }) => [name, head])).toEqual([
      ['ahead', 1],
      ['left', 1],
    ]);
  });

  it('a pen run again counts its animals as they come now, those moved into it too', () => {
    const moved = [letGo(1), letGo(2, { lot: 'Stores', exit: 'left' }), said(2, 'pen', 'ahead')];
    const it = after([...moved, again('ahead'), letGo(3), letGo(4)]);
    expect(it.head).toBe(2);
    expect(it.recent.map(({ notCounted }) => notCounted)).toEqual([
      ...[null, null, 'run again', 'run again'],
    ]);
  });

  it('a tag that comes twice counts once and is asked about once', () => {
    const twice = [letGo(1, { tag: TAG }), letGo(2), letGo(3, { tag: TAG })];
    expect(after(twice)).toMatchObject({ head: 2, again: [{ tag: TAG, animals: [1, 3] }] });
    const answered = [...twice, said(3, 'again', true)];
    expect(after(answered)).toMatchObject({ head: 2, again: [] });
    expect(after([...answered, letGo(4, { tag: TAG })])).toMatchObject({ head: 2, again: [] });
    const other = [...twice, said(3, 'again', true), said(3, 'tag', false)];
    expect(after(other)).toMatchObject({ head: 3, again: [] });
    expect(after(other).recent[0]).toMatchObject({ animal: 3, tag: null });
  });

  it('tells after each commit how it stands, and what people changed in it', async () => {
    const records = recordsOf(siteFolder());
    const puts: Record<string, number>[] = [];
    records.onSession((_now, put) => puts.push(put));
    const reached = (head: number) => once(records.onSession, (it) => it.head === head);
    records.session({ ...session('S1'), ...infoOf('S1') }, wall(0));
    for (const animal of [1, 2, 3]) {
      const row = letGo(animal);
      if (row.kind === 'crossing') records.crossing(row.crossing, 'S1', false, row.wall);
    }
    await reached(3);
    expect(puts.flatMap((put) => Object.keys(put))).toEqual([]);
    const out = reached(2);
    records.correction(
      { session: 'S1', animal: 2, kind: 'void', value: true, who: null, why: null },
      wall(0),
    );
    await out;
    expect(puts.at(-1)).toEqual({ Fit: -1 });
    const shut = once(records.onSession, (it) => it.penOf['ahead'] === 'ahead 2');
    records.pen('S1', 'ahead', 'ahead 2', wall(0));
    await shut;
    expect(puts.at(-1)).toEqual({ Fit: -2 });
  });
});

function infoOf(id: string) {
  const row = session(id);
  if (row.kind !== 'session') throw new Error('not a session');
  return row.session;
}

describe('the last session', () => {
  it('is known at the next start, with the number that is free and the counts', async () => {
    const siteDir = siteFolder();
    const rows = [letGo(1), letGo(2), pen('ahead', 'ahead 2'), letGo(3)];
    writeRows(siteDir, [session('S0'), session('S1', { farm: 'Upper' }), ...rows]);
    const { last } = await recordsOf(siteDir).ready;
    expect(last).toMatchObject({ nextAnimal: 4, counts: { Fit: 1 }, day: '2026-09-12' });
    expect(last?.info).toMatchObject({ id: 'S1', farm: 'Upper' });
  });

  it('never gives a number again that an event has named', () => {
    const event: RowMessage = {
      ...{ kind: 'event', session: 'S1', t: 5 },
      event: { kind: 'unsure', animal: 9, reason: 'x' },
      wall: wall(0),
    };
    expect(after([letGo(1), event]).nextAnimal).toBe(10);
  });

  it('is described anew by what a person says last', () => {
    const siteDir = siteFolder();
    writeRows(siteDir, [session('S1', { farm: 'Upper', field: 'Brae' })]);
    writeRows(siteDir, [session('S1', { farm: 'Upper', field: 'Park' })]);
    expect(now(siteDir).info).toMatchObject({ farm: 'Upper', field: 'Park' });
  });
});

describe('a session that is read while it is written', () => {
  it('stands as it does when all of it is read: rows, ends, corrections, another one between', () => {
    const siteDir = siteFolder();
    const db = openForWriting(siteDir, 'Europe/London');
    const store = openStore(db, 'Europe/London', '0');
    const read = sessionReader(db);
    const ended = { ...(letGo(2, { exit: 'left' }) as Crossed), final: true };
    const steps: [RowMessage, number[]][] = [
      [session('S1', { farm: 'Upper' }), []],
      [letGo(1, { tag: TAG }), [1]],
      [letGo(2), [2]],
      [said(1, 'lot', 'Stores'), []],
      [ended, [2]],
      [letGo(3, { tag: TAG }), [3]],
      [again('ahead'), []],
      [said(1, 'lot', null), []],
      [session('S1', { farm: 'Upper', field: 'Brae' }), []],
    ];
    for (const [row, changed] of steps) {
      store.write([row]);
      expect(read('S1', changed)).toEqual(readSession(db, 'S1'));
    }
    store.write([letGo(1, { session: 'S2' })]);
    expect(read('S2', [1])?.rows).toHaveLength(1);
    expect(read('S1', [])).toEqual(readSession(db, 'S1'));
    db.close();
  });
});

describe('farms', () => {
  const DAYS = 30 * 86_400_000;
  /** Two farms on one day, and one tag that was sold from the one to the other. */
  function twoFarms(): string {
    const siteDir = siteFolder();
    writeRows(siteDir, [
      session('A', { farm: 'Upper', holding: 'H1', mob: 'Ewe lambs' }),
      letGo(1, { session: 'A', tag: TAG, recordedKg: 30 }, wall(-DAYS)),
      session('B', { farm: 'Lower', holding: 'H2', mob: 'Ewe lambs' }),
      letGo(1, { session: 'B', tag: TAG, recordedKg: 42 }),
      letGo(2, { session: 'B' }),
      session('C', { farm: 'Upper', holding: 'H1', field: 'Brae' }),
      letGo(1, { session: 'C' }),
    ]);
    return siteDir;
  }

  it('each offers what was said last of it, and nothing of another', () => {
    const db = openForReading(twoFarms());
    expect(
      lastOfFarms(db).map(({ farm, holding, field, mob }) => [farm, holding, field, mob]),
    ).toEqual([
      ['Upper', 'H1', 'Brae', null],
      ['Lower', 'H2', null, 'Ewe lambs'],
    ]);
    expect(lastSession(db)?.info.id).toBe('C');
    db.close();
  });

  it('lists, history and exports of one hold nothing of another', () => {
    const db = openForReading(twoFarms());
    const lower = readDay(db, '2026-09-12', 'Lower');
    expect(lower?.rows.map(({ session: id }) => id)).toEqual(['B', 'B']);
    expect(lower === null ? null : dayGains(db, lower)).toEqual([]);
    expect(readDay(db, '2026-09-12', 'Upper')?.rows).toHaveLength(1);
    db.close();
  });

  it('the last weight of a tag is known on each by itself', () => {
    const siteDir = siteFolder();
    const one = { tag: TAG, farm: 'Lower', day: '2026-08-01', kg: 24 };
    writeRows(siteDir, [
      session('A', { farm: 'Upper' }),
      letGo(1, { session: 'A', tag: TAG, recordedKg: 30 }),
      { kind: 'earlier-weights', weights: [one], wall: wall(0) },
    ]);
    const db = openForReading(siteDir);
    expect(lastWeights(db)).toEqual([{ tag: TAG, farm: 'Upper', day: '2026-09-12', kg: 30 }, one]);
    db.close();
  });

  it('is deleted whole, with a backup before, and nothing of another goes with it', () => {
    const siteDir = twoFarms();
    const weights = ['Lower', 'Upper'].map((farm) => ({
      tag: TAG,
      farm,
      day: '2026-08-01',
      kg: 24,
    }));
    writeRows(siteDir, [{ kind: 'earlier-weights', weights, wall: wall(0) }]);
    expect(forgetFarm(siteDir, 'Nobody', MORNING)).toBe(null);
    const before = openForReading(siteDir);
    const upper = readDay(before, '2026-09-12', 'Upper');
    before.close();
    const done = forgetFarm(siteDir, 'Lower', MORNING);
    expect(done).toMatchObject({ sessions: 1, crossings: 2 });
    expect(checkBackup(done?.backup ?? '').crossings).toBeGreaterThan(2);
    const db = openForReading(siteDir);
    expect(readDay(db, '2026-09-12', 'Lower')).toBe(null);
    expect(readDay(db, '2026-09-12', 'Upper')).toEqual(upper);
    expect(lastWeights(db).map(({ farm }) => farm)).not.toContain('Lower');
    expect(lastOfFarms(db).map(({ farm }) => farm)).toEqual(['Upper']);
    expect(db.pragma('foreign_key_check')).toEqual([]);
    db.close();
    expect(readFileSync(join(siteDir, 'fank.db')).includes('Lower')).toBe(false);
  });
});

describe('given at the race', () => {
  const given = (what: Given | null): RowMessage => ({
    ...{ kind: 'given', session: 'S1', given: what, who: 'phone 1' },
    wall: wall(0),
  });
  const dosed = (animal: number, doseMl: number | null, tag: string | null): RowMessage => ({
    ...(letGo(animal, { tag }) as Extract<RowMessage, { kind: 'crossing' }>),
    doseMl,
  });

  it('counts what was used; without a shown dose nobody knows, and it holds', () => {
    const siteDir = siteFolder();
    const rows = [dosed(1, 8.5, TAG), dosed(2, null, '999000000000002'), dosed(3, 9, null)];
    writeRows(siteDir, [session('S1', { farm: 'Upper', mob: 'Gimmers' }), given(WORM), ...rows]);
    expect(now(siteDir).given).toEqual({ what: WORM, doses: 2, ml: 17.5, unknown: 1 });
    const db = openForReading(siteDir);
    const one = { product: 'Drench A', batch: 'B7', days: 14, use: 'label', colour: null };
    const where = { session: 'S1', day: '2026-09-12', farm: 'Upper', mob: 'Gimmers' };
    expect(raceTreatments(db)).toEqual([
      { ...one, ...where, tags: [TAG, '999000000000002'] },
      { ...one, ...where, tags: [] },
    ]);
    db.close();
  });

  it('ends when nothing is given any more; one that was passed over is said by a person', () => {
    const siteDir = siteFolder();
    const rows = [given(WORM), dosed(1, null, TAG), said(1, 'dose', false), given(null)];
    writeRows(siteDir, [session('S1'), ...rows, dosed(2, 9, '999000000000002')]);
    expect(now(siteDir).given).toBeNull();
    const db = openForReading(siteDir);
    expect(raceTreatments(db)).toEqual([]);
    db.close();
  });
});
