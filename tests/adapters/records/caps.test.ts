/** What is deleted to keep the card from filling up, and what never is. */
import {
  existsSync,
  mkdirSync,
  readdirSync,
  readFileSync,
  statSync,
  utimesSync,
  writeFileSync,
} from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import type { RowMessage } from '../../../src/adapters/records/messages.ts';
import { openForReading } from '../../../src/adapters/records/reader.ts';
import { openForWriting } from '../../../src/adapters/records/schema.ts';
import { capTraces } from '../../../src/adapters/records/trace-file.ts';
import { HEADER, letGo, recordsOf, session, siteFolder, wall, writeRows } from './example.ts';

/** A trace of that size, so many days old. */
function trace(siteDir: string, name: string, bytes: number, daysOld: number): string {
  const path = join(siteDir, 'traces', name);
  mkdirSync(join(siteDir, 'traces'), { recursive: true });
  writeFileSync(path, Buffer.alloc(bytes));
  const at = 1_800_000_000 - daysOld * 86_400;
  utimesSync(path, at, at);
  return path;
}

/** Every file below a folder with what is in it. */
function filesOf(dir: string): Record<string, string> {
  return Object.fromEntries(
    readdirSync(dir, { recursive: true, encoding: 'utf8' })
      .filter((name) => statSync(join(dir, name)).isFile())
      .map((name) => [name, readFileSync(join(dir, name), 'base64')]),
  );
}

/** Everything that the day book holds, but for events. */
function bookOf(siteDir: string): Record<string, unknown[]> {
  const db = openForReading(siteDir);
  const tables = ['session', 'crossing', 'correction', 'given', 'dose', 'earlier_weight', 'pen'];
  const found = tables.map((table) => [table, db.prepare(`SELECT * FROM ${table}`).all()]);
  db.close();
  return Object.fromEntries(found) as Record<string, unknown[]>;
}

const given = { product: 'Drench', batch: 'B1', expiry: '', mlPerKg: 0.2, stepMl: 0.5, days: 14 };
const OLD = -4000 * 86_400_000;
/** A session of eleven years ago, with all that may belong to one. */
const ROWS: RowMessage[] = [
  session('S1', { farm: 'Low Fold' }),
  {
    ...{ kind: 'given', session: 'S1', who: null, wall: wall(OLD) },
    given: { ...given, use: 'label' },
  },
  letGo(1, { tag: '999000000000001' }, wall(OLD)),
  {
    ...{ kind: 'correction', wall: wall(OLD) },
    correction: {
      ...{ session: 'S1', animal: 1, kind: 'exit', value: 'left', who: 'phone 1', why: null },
    },
  },
  { kind: 'pen', session: 'S1', exit: 'left', pen: 'left 2', wall: wall(OLD) },
  {
    ...{ kind: 'earlier-weights', wall: wall(OLD) },
    weights: [{ tag: '999000000000001', farm: 'Low Fold', day: '2015-06-01', kg: 30 }],
  },
];

describe('the cap on traces', () => {
  it('deletes the oldest until the rest fits, whole or compressed, and never the one being written', () => {
    const siteDir = siteFolder();
    const oldest = trace(siteDir, 'a.trace.ndjson', 40, 9);
    const packed = trace(siteDir, 'b.trace.ndjson.gz', 40, 8);
    const kept = trace(siteDir, 'c.trace.ndjson.gz', 40, 7);
    expect(capTraces(siteDir, oldest, 200)).toEqual([]);
    expect(capTraces(siteDir, oldest, 80)).toEqual([packed]);
    expect(capTraces(siteDir, kept, 40)).toEqual([oldest]);
    expect(capTraces(siteDir, kept, 0)).toEqual([]);
    expect(existsSync(kept)).toBe(true);
  });

  it('touches nothing else of the site, however far over it is', () => {
    const siteDir = siteFolder();
    writeRows(siteDir, ROWS);
    mkdirSync(join(siteDir, 'backups'));
    for (const name of ['treatments.csv', 'backups/fank-version-1.db', 'traces.txt'])
      writeFileSync(join(siteDir, name), 'kept');
    const before = filesOf(siteDir);
    const old = trace(siteDir, 'old.trace.ndjson.gz', 4000, 900);
    trace(siteDir, 'notes.txt', 4000, 900);
    expect(capTraces(siteDir, 'none', 0)).toEqual([old]);
    expect(filesOf(siteDir)).toEqual({
      ...before,
      'traces/notes.txt': expect.any(String) as string,
    });
  });

  it('is kept while Fank runs, and the day book has everything that it had', async () => {
    const siteDir = siteFolder();
    writeRows(siteDir, ROWS);
    const before = bookOf(siteDir);
    const old = trace(siteDir, 'old.trace.ndjson.gz', 4000, 900);
    const records = recordsOf(siteDir, { maxTraceBytes: 1000 });
    records.input({ t: 40, kg: 12.5 });
    records.rotate({ ...HEADER, startedAt: '2026-09-12T09:00:00.000Z' }, {});
    await expect.poll(() => existsSync(old), { timeout: 20_000 }).toBe(false);
    await records.close();
    expect(bookOf(siteDir)).toEqual(before);
  });
});

describe('the cap on the log of stops and faults', () => {
  it('deletes the oldest when a session begins, but no crossing that was kept as an event', () => {
    const siteDir = siteFolder();
    writeRows(siteDir, ROWS);
    const before = bookOf(siteDir);
    const db = openForWriting(siteDir, 'UTC');
    const add = db.prepare(`INSERT INTO event (n, at_ms, day, clock_set, t, kind, detail)
      VALUES (?, 0, '2015-01-01', 1, 0, ?, '{}')`);
    for (const [n, kind] of [
      [1, 'fault'],
      [2, 'clash'],
      [3, 'mode'],
      [4, 'mode'],
      [500_003, 'fault'],
    ] as const)
      add.run(n, kind);
    db.close();
    writeRows(siteDir, [letGo(1, { session: 'S2' })]);
    const left = openForReading(siteDir);
    expect(left.prepare('SELECT n FROM event ORDER BY n').pluck().all()).toEqual([2, 4, 500_003]);
    left.close();
    const after = bookOf(siteDir);
    expect([after['session']?.length, after['crossing']?.length]).toEqual([2, 2]);
    for (const [table, rows] of Object.entries(before)) {
      expect(after[table]?.slice(0, rows.length)).toEqual(
        table === 'session' ? expect.anything() : rows,
      );
    }
  });
});
