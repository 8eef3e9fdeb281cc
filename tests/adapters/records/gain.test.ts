import { describe, expect, it } from 'vitest';
import { readDay } from '../../../src/adapters/records/day-book.ts';
import { eveningOf } from '../../../src/adapters/records/evening.ts';
import {
  dailyGain,
  dayGains,
  type AnimalGain,
  type Weighing,
} from '../../../src/adapters/records/gain.ts';
import { lastWeights } from '../../../src/adapters/records/last-weights.ts';
import type { Correction, RowMessage } from '../../../src/adapters/records/messages.ts';
import { openForReading } from '../../../src/adapters/records/reader.ts';
import { letGo, session, siteFolder, wall, writeRows } from './example.ts';

const DAY_MS = 86_400_000;

function weighing(day: number, kg: number, changes: Partial<Weighing> = {}): Weighing {
  return {
    atMs: day * DAY_MS,
    kg,
    uncertaintyKg: 1.96 * 0.5,
    hoursOffFeed: 2,
    fleece: 'dry',
    ...changes,
  };
}

describe('daily gain', () => {
  it('agrees with the worked example: 34.2 to 41.5 kg in 21 days, u 0.5 kg a weight', () => {
    // (41.5 - 34.2) / 21 d = 348 g/d; u(gain) 34 g/d over 21 d, 51 over 14 d, 101 over 7 d:
    // computed by hand, sqrt(0.5^2 + 0.5^2) / days.
    const gain = dailyGain(weighing(0, 34.2), weighing(21, 41.5));
    expect(Math.round(gain.gramsADay)).toBe(348);
    expect(gain.widened).toEqual([]);
    const u = (days: number): number =>
      dailyGain(weighing(0, 34.2), weighing(days, 41.5)).uncertainty / 1.96;
    expect([21, 14, 7].map((days) => Math.round(u(days)))).toEqual([34, 51, 101]);
  });

  it('is less sure, and says why, where hours off feed or fleece differ', () => {
    const plain = dailyGain(weighing(0, 34.2), weighing(14, 41.5));
    const wet = dailyGain(weighing(0, 34.2), weighing(14, 41.5, { fleece: 'wet' }));
    const hungry = dailyGain(weighing(0, 34.2), weighing(14, 41.5, { hoursOffFeed: 10 }));
    const unknown = dailyGain(weighing(0, 34.2, { hoursOffFeed: null }), weighing(14, 41.5));
    expect(wet.gramsADay).toBe(plain.gramsADay);
    expect(wet.widened).toEqual(['fleece dry then, wet now']);
    expect(hungry.widened).toEqual(['2 h off feed then, 10 h now']);
    expect(unknown.widened).toEqual(['hours off feed known only once']);
    // By hand: sqrt(0.5^2 + 0.5^2 + 2.4^2 / 3) kg * 1.96 / 14 d = 217.8 g/d.
    expect(hungry.uncertainty).toBeCloseTo(217.8, 0);
    expect(unknown.uncertainty).toBeCloseTo(hungry.uncertainty, 6);
    expect(wet.uncertainty).toBeGreaterThan(plain.uncertainty);
  });

  it('is no surer where feed and fleece are not known of both than of one', () => {
    const unsaid = { hoursOffFeed: null, fleece: null };
    const once = dailyGain(weighing(0, 34.2, unsaid), weighing(14, 41.5));
    const never = dailyGain(weighing(0, 34.2, unsaid), weighing(14, 41.5, unsaid));
    expect(once.widened).toEqual(['hours off feed known only once', 'fleece known only once']);
    expect(never.widened).toEqual(['hours off feed not known', 'fleece not known']);
    expect(never.uncertainty).toBe(once.uncertainty);
  });
});

const PLAN = {
  name: 'Draft',
  hash: 'x',
  resolved: { animals: { fromKg: 12, toKg: 65 }, lots: [{ belowKg: 40 }, { belowKg: 45 }, {}] },
};
const tag = (n: number): string => `99900000000${String(n).padStart(4, '0')}`;

describe('a weight from a list', () => {
  const tag = '999000000001337';
  const listed = (farm: string | null, day: string, kg: number): RowMessage => ({
    ...{ kind: 'earlier-weights', weights: [{ tag, farm, day, kg }] },
    wall: wall(0),
  });
  const gainsOf = (rows: RowMessage[]): AnimalGain[] => {
    const siteDir = siteFolder();
    writeRows(siteDir, rows);
    const db = openForReading(siteDir);
    try {
      const book = readDay(db, '2026-09-12');
      return book === null ? [] : dayGains(db, book);
    } finally {
      db.close();
    }
  };
  const today = letGo(1, { tag, recordedKg: 41.5 });
  const upper = session('S1', { farm: 'Upper', hoursOffFeed: 2, fleece: 'dry' });

  it('is what the gain is reckoned from, less surely than from a weight of our own', () => {
    // (41.5 - 34.2) / 21 days = 348 g a day
    const [one] = gainsOf([upper, listed('Upper', '2026-08-22', 34.2), today]);
    expect(one?.from).toEqual({ kg: 34.2, day: '2026-08-22', list: true });
    expect(Math.round(one?.gain.gramsADay ?? 0)).toBe(348);
    expect(one?.gain.widened).toEqual(['hours off feed known only once', 'fleece known only once']);
  });

  it('of today, or of another farm, is none to reckon from', () => {
    expect(gainsOf([upper, listed('Upper', '2026-09-12', 34.2), today])).toEqual([]);
    expect(gainsOf([upper, listed('Lower', '2026-08-22', 34.2), today])).toEqual([]);
    expect(gainsOf([upper, listed(null, '2026-08-22', 34.2), today])).toEqual([]);
  });

  it('gives way to a later weighing, and goes before an earlier one', () => {
    const early = letGo(1, { session: 'S0', tag, recordedKg: 30 }, wall(-30 * DAY_MS));
    const before = [session('S0', { farm: 'Upper' }), early, upper, today];
    const from = (day: string): unknown =>
      gainsOf([...before, listed('Upper', day, 34.2)])[0]?.from;
    expect(from('2026-08-22')).toEqual({ kg: 34.2, day: '2026-08-22', list: true });
    expect(from('2026-08-01')).toEqual({ kg: 30, day: '2026-08-13', list: false });
  });
});

describe('a weight that somebody said something of', () => {
  const [one, other] = ['999000000001337', '999000000001338'];
  const said = (kind: Correction['kind'], value: Correction['value']): RowMessage => ({
    kind: 'correction',
    correction: { session: 'S0', animal: 1, kind, value, who: null, why: null },
    wall: wall(-30 * DAY_MS),
  });
  /** Which tag weighed what before: by the gains of the day, and by what the race is told of a tag. */
  const before = (...corrections: RowMessage[]): Record<string, number>[] => {
    const siteDir = siteFolder();
    writeRows(siteDir, [
      session('S0'),
      letGo(1, { session: 'S0', tag: one, recordedKg: 30 }, wall(-30 * DAY_MS)),
      ...corrections,
      session('S1'),
      letGo(1, { tag: one }),
      letGo(2, { tag: other }),
    ]);
    const db = openForReading(siteDir);
    try {
      const book = readDay(db, '2026-09-12');
      const gains = book === null ? [] : dayGains(db, book);
      const old = lastWeights(db).filter(({ day }) => day < '2026-09-12');
      return [
        Object.fromEntries(gains.map(({ tag, from }) => [tag, from.kg])),
        Object.fromEntries(old.map(({ tag, kg }) => [tag, kg])),
      ];
    } finally {
      db.close();
    }
  };

  it('is reckoned from where the word was taken back, and not where it does not count', () => {
    const all = ['void', 'lot', 'exit', 'pen', 'tag', 'dose'] as const;
    const takenBack = all.map((kind) => said(kind, null));
    const plain = [{ [one]: 30 }, { [one]: 30 }];
    expect(before(said('lot', 'Stores'), ...takenBack)).toEqual(plain);
    expect(before(said('void', true), ...takenBack)).toEqual(plain);
    expect(before(said('tag', other), ...takenBack)).toEqual(plain);
    expect(before(said('void', true))).toEqual([{}, {}]);
    expect(before(...takenBack, said('void', true))).toEqual([{}, {}]);
  });

  it('belongs to the tag that it was put right to', () => {
    expect(before(said('tag', other))).toEqual([{ [other]: 30 }, { [other]: 30 }]);
    expect(before(said('tag', other), said('tag', one))).toEqual([{ [one]: 30 }, { [one]: 30 }]);
    expect(before(said('tag', false))).toEqual([{}, {}]);
  });
});

describe('the first screen of a day', () => {
  function site(): string {
    const siteDir = siteFolder();
    const first = Array.from({ length: 20 }, (_, i) =>
      letGo(i + 1, { session: 'A', tag: tag(i + 1), recordedKg: 35 }, wall(i)),
    );
    const second = Array.from({ length: 18 }, (_, i) =>
      letGo(
        i + 1,
        { session: 'B', tag: tag(i + 1), recordedKg: 34 + i * 0.5 },
        wall(14 * DAY_MS + i),
      ),
    );
    writeRows(siteDir, [
      session('A', { farm: 'Low Fold', plan: PLAN }),
      ...first,
      // Another farm's animal of the same tag is another story.
      session('X', { farm: 'Hill End' }),
      letGo(1, { session: 'X', tag: tag(1), recordedKg: 20 }, wall(10 * DAY_MS)),
      session('B', { farm: 'Low Fold', plan: PLAN }),
      ...second,
      letGo(30, { session: 'B', recordedKg: 39.5, rule: 'by-hand' }, wall(14 * DAY_MS + 30)),
      letGo(31, { session: 'B', recordedKg: 70, flags: ['let-out-early'] }, wall(14 * DAY_MS + 31)),
      letGo(32, { session: 'B', recordedKg: 39.5, unsure: true }, wall(14 * DAY_MS + 32)),
    ]);
    return siteDir;
  }

  it('lists who went the wrong way and for whom the front was opened early', () => {
    const siteDir = siteFolder();
    const flags = ['wrong-way'];
    const correction = { session: 'A', animal: 3, who: null, why: null };
    writeRows(siteDir, [
      session('A'),
      letGo(1, { session: 'A', flags: ['opened-early'] }),
      letGo(2, { session: 'A', flags, exit: 'left' }),
      letGo(3, { session: 'A', flags, exit: 'left' }),
      {
        kind: 'correction',
        correction: { ...correction, kind: 'pen', value: 'left' },
        wall: wall(0),
      },
    ]);
    const db = openForReading(siteDir);
    const book = readDay(db, null);
    if (book === null) throw new Error('no book');
    const { look, lots } = eveningOf(db, book, { killingOut: null, targetKg: null });
    db.close();
    expect(look.openedEarly.map(({ animal }) => animal)).toEqual([1]);
    // The third was put right.
    expect(look.wrongWay.map(({ animal }) => animal)).toEqual([2]);
    expect(lots).toMatchObject([{ lot: 'Fit', head: 3, wrongWay: 1 }]);
  });

  it('goes by the plan that each animal was sorted by', () => {
    const siteDir = siteFolder();
    const plan = { name: 'Later', hash: 'y', resolved: { lots: [{ belowKg: 42 }, {}] } };
    const before = { lots: [{ belowKg: 44 }, {}] };
    writeRows(siteDir, [
      session('A', { plan: { ...PLAN, resolved: before } }),
      letGo(1, { session: 'A', recordedKg: 43.5 }),
      letGo(2, { session: 'A', recordedKg: 41.5 }),
      { kind: 'plan', session: 'A', plan, wall: wall(20_001) },
      letGo(3, { session: 'A', recordedKg: 43.5 }),
      letGo(4, { session: 'A', recordedKg: 41.5 }),
    ]);
    const db = openForReading(siteDir);
    const book = readDay(db, null);
    if (book === null) throw new Error('no book');
    const { look, target } = eveningOf(db, book, { killingOut: null, targetKg: null });
    db.close();
    expect(look.nearlyThere.map(({ animal }) => animal)).toEqual([1, 4]);
    expect(target).toMatchObject({ kg: 42, there: 2 });
  });

  it('names who is missing, lost weight, is slow, is nearly there, and what people did', () => {
    const db = openForReading(site());
    const book = readDay(db, null, 'Low Fold');
    if (book === null) throw new Error('no book');
    const evening = eveningOf(db, book, { killingOut: null, targetKg: null });
    const screen = evening.look;
    db.close();
    expect(evening.head.counted).toBe(21);
    expect(screen.missing).toEqual([{ lastDay: '2026-09-12', tags: [tag(19), tag(20)] }]);
    expect(evening.gains).toHaveLength(18);
    expect(screen.lostWeight.map((each) => each.tag)).toEqual([tag(1), tag(2)]);
    expect(screen.slowest.map((each) => each.tag)).toEqual([tag(1)]);
    expect(screen.lostWeight[0]?.gramsADay).toBeCloseTo(-1000 / 14, 3);
    expect(screen.nearlyThere.map(({ animal }) => animal)).toEqual([11, 12, 30]);
    expect(screen.byHand.map(({ animal }) => animal)).toEqual([30]);
    expect(screen.letOutEarly.map(({ animal }) => animal)).toEqual([31]);
    expect(screen.notSure.map(({ animal }) => animal)).toEqual([32]);
  });
});
