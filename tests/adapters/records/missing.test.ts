import { describe, expect, it } from 'vitest';
import { readDay } from '../../../src/adapters/records/day-book.ts';
import type { Correction, RowMessage } from '../../../src/adapters/records/messages.ts';
import { missingOf } from '../../../src/adapters/records/missing.ts';
import { openForReading } from '../../../src/adapters/records/reader.ts';
import { letGo, session, siteFolder, wall, writeRows } from './example.ts';

const DAY_MS = 86_400_000;
const tag = (n: number): string => `99900000000${String(n).padStart(4, '0')}`;

/** Animals of a session that was `daysAgo`; by number, which is also the end of the tag. */
function go(id: string, mob: string | null, daysAgo: number, animals: number[]): RowMessage[] {
  const when = -daysAgo * DAY_MS;
  return [
    session(id, { farm: 'Low Fold', mob }),
    ...animals.map((n) => letGo(n, { session: id, tag: tag(n) }, wall(when + n))),
  ];
}

function said(animal: number, kind: Correction['kind'], value: Correction['value']): RowMessage {
  const correction = { session: 'then', animal, kind, value, who: null, why: null };
  return { kind: 'correction', correction, wall: wall(0) };
}

function missing(rows: RowMessage[]): ReturnType<typeof missingOf> {
  const siteDir = siteFolder();
  writeRows(siteDir, rows);
  const db = openForReading(siteDir);
  try {
    const book = readDay(db, '2026-09-12');
    return book === null ? [] : missingOf(db, book);
  } finally {
    db.close();
  }
}

describe('who was here last time and is not today', () => {
  it('is asked of the same mob, where one is named', () => {
    const days = [...go('a', 'lambs', 9, [1, 2]), ...go('b', 'ewes', 8, [3, 4])];
    expect(missing([...days, ...go('now', 'lambs', 0, [1])])).toEqual([
      { lastDay: '2026-09-03', tags: [tag(2)] },
    ]);
    expect(missing([...days, ...go('now', 'gimmers', 0, [7])])).toEqual([]);
    expect(missing([...days, ...go('now', null, 0, [3])])).toEqual([
      { lastDay: '2026-09-04', tags: [tag(4)] },
    ]);
    const both = [...go('now', 'lambs', 0, [1]), ...go('later', 'ewes', 0, [3])];
    expect(missing([...days, ...both])).toEqual([
      { lastDay: '2026-09-04', tags: [tag(4)] },
      { lastDay: '2026-09-03', tags: [tag(2)] },
    ]);
  });

  it('goes by what was put right: a pulled-out animal and a misread tag are not waited for', () => {
    const rows = go('then', 'lambs', 9, [1, 2, 3, 4]);
    const right = [said(2, 'void', true), said(3, 'tag', tag(30)), said(4, 'tag', false)];
    expect(missing([...rows, ...right, ...go('now', 'lambs', 0, [1])])).toEqual([
      { lastDay: '2026-09-03', tags: [tag(30)] },
    ]);
  });

  it('leaves out whom a lot for slaughter took', () => {
    const lots = [
      { name: 'Stores', belowKg: 40 },
      { name: 'Fit', forSlaughter: true },
    ];
    const plan = { name: 'Draft', hash: 'x', resolved: { lots } };
    const rows = [
      session('then', { farm: 'Low Fold', plan }),
      letGo(1, { session: 'then', tag: tag(1), lot: 'Fit' }, wall(-DAY_MS)),
      letGo(2, { session: 'then', tag: tag(2), lot: 'Stores' }, wall(-DAY_MS)),
      letGo(3, { session: 'then', tag: tag(3), lot: 'Fit' }, wall(-DAY_MS)),
      said(3, 'lot', 'Stores'),
    ];
    expect(missing([...rows, ...go('now', null, 0, [9])])).toEqual([
      { lastDay: '2026-09-11', tags: [tag(2), tag(3)] },
    ]);
  });
});
