import { readFileSync, readdirSync } from 'node:fs';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { describe, expect, it } from 'vitest';
import { crossing, HEADER, once, recordsOf, siteFolder, wall } from './example.ts';

function rowsOf(siteDir: string, sql: string): unknown[] {
  const db = new Database(join(siteDir, 'fank.db'), { readonly: true });
  try {
    return db.prepare(sql).all();
  } finally {
    db.close();
  }
}

describe('the records port', () => {
  it('says that a crossing is saved when its row is in the database, and not before', async () => {
    const siteDir = siteFolder();
    const records = recordsOf(siteDir);
    const saved = once(records.onSaved);
    records.crossing(crossing(1), 'S1', false, wall(10_000));
    expect(records.waiting().rows).toBe(1);
    expect(await saved).toEqual(['S1', 1]);
    const [row] = rowsOf(
      siteDir,
      'SELECT * FROM crossing JOIN session ON session.n = crossing.session',
    );
    expect(row).toMatchObject({
      animal: 1,
      id: 'S1',
      at_ms: wall(10_000).atMs,
      day: '2026-09-12',
      clock_set: 1,
      recorded_kg: 41.5,
      let_go_t: 10_000,
      left_t: null,
      pen: 'ahead',
    });
  });

  it('keeps one row however often a crossing is told, and fills in only how it ended', async () => {
    const siteDir = siteFolder();
    const records = recordsOf(siteDir);
    records.crossing(crossing(1), 'S1', false, wall(10_000));
    records.crossing(crossing(1), 'S1', false, wall(11_000));
    const end = crossing(1, { leftAt: 12_000, exit: null, flags: ['let-out-early'] });
    records.crossing(end, 'S1', true, wall(12_000));
    expect(await records.close()).toEqual({ unsaved: 0 });
    expect(rowsOf(siteDir, 'SELECT at_ms, left_t, exit, flags, late FROM crossing')).toEqual([
      {
        at_ms: wall(10_000).atMs,
        left_t: 12_000,
        exit: 'ahead',
        flags: '[]',
        late: '{"exit":null,"flags":["let-out-early"]}',
      },
    ]);
  });

  it('loses no animal that comes under a number already taken', async () => {
    const siteDir = siteFolder();
    const records = recordsOf(siteDir);
    records.crossing(crossing(1), 'S1', false, wall(10_000));
    records.crossing(crossing(1, { recordedKg: 38.2, letGoAt: 44 }), 'S1', false, wall(20_000));
    await records.close();
    expect(rowsOf(siteDir, 'SELECT recorded_kg FROM crossing')).toEqual([{ recorded_kg: 41.5 }]);
    const [event] = rowsOf(siteDir, "SELECT detail FROM event WHERE kind = 'clash'");
    expect(JSON.parse((event as { detail: string }).detail)).toMatchObject({
      crossing: { recordedKg: 38.2 },
    });
  });

  it('writes a trace with header and state first, and every line in order', async () => {
    const siteDir = siteFolder();
    const records = recordsOf(siteDir);
    records.input({ t: 40, kg: 12.5 });
    records.output(40, 'leafA.extend', true);
    records.event(60, { kind: 'on', animal: 1 }, 'S1', wall(60));
    await records.close();
    const file = join(siteDir, 'traces', '2026-09-12T08-00-00Z.trace.ndjson');
    expect(readFileSync(file, 'utf8').split('\n')).toEqual([
      JSON.stringify(HEADER),
      '{"t":0,"state":{"phase":"empty"}}',
      '{"t":40,"kg":12.5}',
      '{"t":40,"output":"leafA.extend","on":true}',
      '{"t":60,"event":{"kind":"on","animal":1}}',
      '',
    ]);
  });

  it('begins another trace when told to, and compresses the finished one by the next start', async () => {
    const siteDir = siteFolder();
    const records = recordsOf(siteDir);
    records.input({ t: 40, kg: 12.5 });
    records.rotate({ ...HEADER, startedAt: '2026-09-12T09:00:00.000Z' }, { phase: 'later' });
    records.input({ t: 20, kg: 13.5 });
    await records.close();
    const names = readdirSync(join(siteDir, 'traces'));
    expect(names.some((name) => name.startsWith('2026-09-12T08-00-00Z.trace.ndjson'))).toBe(true);
    expect(readFileSync(join(siteDir, 'traces', '2026-09-12T09-00-00Z.trace.ndjson'), 'utf8')).toBe(
      `${JSON.stringify({ ...HEADER, startedAt: '2026-09-12T09:00:00.000Z' })}\n` +
        '{"t":0,"state":{"phase":"later"}}\n{"t":20,"kg":13.5}\n',
    );
  });

  it('refuses a second daemon on the same folder by name, and takes it once the first has gone', async () => {
    const siteDir = siteFolder();
    const first = recordsOf(siteDir);
    await first.ready;
    const second = recordsOf(siteDir);
    await expect(second.ready).rejects.toThrow(
      new RegExp(`in use by another Fank \\(process ${process.pid}, since 20..-.*--site`),
    );
    await first.close();
    await recordsOf(siteDir).ready;
  });

  it('knows the last sure weight of each tag at the next start', async () => {
    const siteDir = siteFolder();
    const first = recordsOf(siteDir);
    const tag = '999000000000123';
    first.crossing(crossing(1, { tag, recordedKg: 30 }), 'S1', false, wall(10_000));
    first.crossing(crossing(2, { tag, recordedKg: 31 }), 'S1', false, wall(20_000));
    first.crossing(crossing(3, { tag, recordedKg: 55, unsure: true }), 'S1', false, wall(30_000));
    await first.close();
    const { lastWeights } = await recordsOf(siteDir).ready;
    expect(lastWeights).toEqual([{ tag, farm: null, kg: 31, day: '2026-09-12' }]);
  });
});
