import { describe, expect, it } from 'vitest';
import { readDay, type DayBook } from '../../../src/adapters/records/day-book.ts';
import { bookIcar } from '../../../src/adapters/records/icar.ts';
import { lotSummaries, penCounts } from '../../../src/adapters/records/lots.ts';
import type { Correction, RowMessage } from '../../../src/adapters/records/messages.ts';
import { openForReading } from '../../../src/adapters/records/reader.ts';
import { letGo, session, siteFolder, wall, writeRows } from './example.ts';

const TAG = '999000000000123';

function bookOf(rows: RowMessage[], day: string | null = null, zone = 'Europe/London'): DayBook {
  const siteDir = siteFolder();
  writeRows(siteDir, rows, zone);
  const db = openForReading(siteDir);
  try {
    const book = readDay(db, day);
    if (book === null) throw new Error('no book');
    return book;
  } finally {
    db.close();
  }
}

function correct(animal: number, kind: Correction['kind'], value: Correction['value']): RowMessage {
  const correction = { session: 'S1', animal, kind, value, who: 'Mairi', why: null };
  return { kind: 'correction', correction, wall: wall(500_000) };
}

describe('the day book', () => {
  it('puts an animal under the day that it is at the site, not in Greenwich', () => {
    const late = { atMs: Date.UTC(2026, 8, 12, 23, 30), clockSet: true };
    const book = bookOf([letGo(1, {}, late)]);
    expect(book.rows[0]).toMatchObject({ day: '2026-09-13', localTime: '2026-09-13T00:30:00' });
    expect(bookOf([letGo(1, {}, late)], null, 'America/St_Johns').rows[0]?.day).toBe('2026-09-12');
  });

  it('reads what a person corrected, and keeps what was written', () => {
    const { rows } = bookOf([
      letGo(1),
      letGo(2, { tag: TAG }),
      correct(1, 'exit', 'left'),
      correct(1, 'lot', 'Stores'),
      correct(2, 'tag', '999000000000124'),
      correct(2, 'exit', 'left'),
      correct(2, 'exit', null),
    ]);
    expect(rows[0]).toMatchObject({ exit: 'left', lot: 'Stores', recordedKg: 41.5 });
    expect(rows[0]?.corrections.map(({ kind, who }) => [kind, who])).toEqual([
      ['exit', 'Mairi'],
      ['lot', 'Mairi'],
    ]);
    // The last word counts; null takes the earlier one back.
    expect(rows[1]).toMatchObject({ exit: 'ahead', tag: '999000000000124' });
  });

  it('counts a pen that is run again once, and what is taken back not at all', () => {
    const book = bookOf([
      letGo(1),
      letGo(2, { exit: 'left', lot: 'Stores' }),
      letGo(3),
      { kind: 'run-again', session: 'S1', pen: 'ahead', who: null, wall: wall(60_000) },
      letGo(4),
      letGo(5, { exit: 'left', lot: 'Stores' }),
      letGo(6),
      correct(6, 'void', true),
      correct(2, 'void', true),
      correct(2, 'void', false),
    ]);
    expect(book.rows).toHaveLength(6);
    expect(book.rows.map(({ notCounted }) => notCounted)).toEqual([
      'run again',
      null,
      'run again',
      null,
      null,
      'taken back',
    ]);
    expect(penCounts(book)).toEqual([
      { pen: 'left', head: 2 },
      { pen: 'ahead', head: 1 },
    ]);
  });

  it('counts a tag seen twice in a session once, the last time', () => {
    const book = bookOf([letGo(1, { tag: TAG, recordedKg: 40 }), letGo(2), letGo(3, { tag: TAG })]);
    expect(book.rows.map(({ notCounted }) => notCounted)).toEqual([
      'the same tag was seen again later',
      null,
      null,
    ]);
  });

  it('tells pens apart that one exit led to, one after the other', () => {
    const book = bookOf([
      letGo(1),
      { kind: 'pen', session: 'S1', exit: 'ahead', pen: 'top pen', wall: wall(15_000) },
      letGo(2),
      letGo(3),
      correct(3, 'pen', 'ahead'),
    ]);
    expect(penCounts(book)).toEqual([
      { pen: 'ahead', head: 2 },
      { pen: 'top pen', head: 1 },
    ]);
  });

  it('sums up lots by sure weights of this mob only', () => {
    const plan = {
      name: 'P',
      hash: 'h',
      resolved: { animals: { fromKg: 12, toKg: 65 }, lots: [] },
    };
    const [fit] = lotSummaries(
      bookOf([
        session('S1', { plan }),
        letGo(1, { recordedKg: 41, tag: TAG }),
        letGo(2, { recordedKg: 43 }),
        letGo(3, { recordedKg: 80 }),
        letGo(4, { recordedKg: 42, unsure: true }),
        letGo(5, { recordedKg: null, rule: 'by-hand' }),
      ]),
    );
    expect(fit).toMatchObject({ lot: 'Fit', head: 5, tagsRead: 1, notRead: 4, unsure: 1 });
    expect(fit?.weights).toMatchObject({ count: 2, mean: 42, least: 41, most: 43, total: 84 });
    expect(fit?.classes.map(({ head }) => head)).toEqual([1, 0, 1]);
  });

  it('exports no time of a clock that was not set', () => {
    const { member } = bookIcar(bookOf([letGo(1, {}, wall(0, false)), letGo(2)]), 0) as {
      member: { meta: { modified: string } }[];
    };
    const modified = member.map(({ meta }) => meta.modified);
    expect(modified).toEqual(['1970-01-01T00:00:00.000Z', '2026-09-12T08:00:20.000Z']);
  });

  it('marks what was written before the clock was set, and mends it', () => {
    const unset = { atMs: Date.UTC(2020, 0, 1, 5), clockSet: false };
    const rows: RowMessage[] = [letGo(1, {}, unset), letGo(2, {}, { ...unset, clockSet: true })];
    expect(bookOf(rows, '2020-01-01').rows.map(({ clock }) => clock)).toEqual(['unset', 'set']);
    const deltaMs = Date.UTC(2026, 8, 12, 9) - unset.atMs;
    const since = { animal: 1, atMs: unset.atMs };
    const mended = bookOf([
      ...rows,
      { kind: 'mend', session: 'S1', since, deltaMs, wall: wall(0) },
    ]);
    expect(mended.day).toBe('2026-09-12');
    expect(mended.rows).toMatchObject([
      { animal: 1, clock: 'mended', localTime: '2026-09-12T10:00:00' },
    ]);
  });
});
