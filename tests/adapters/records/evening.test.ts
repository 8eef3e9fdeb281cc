import { describe, expect, it } from 'vitest';
import type { Evening } from '../../../src/adapters/evening.ts';
import { openBook } from '../../../src/adapters/records/book-for-page.ts';
import { PLAIN_CSV } from '../../../src/adapters/records/csv.ts';
import type { RowMessage } from '../../../src/adapters/records/messages.ts';
import { givenWords } from '../../../src/adapters/records/words.ts';
import type { Event } from '../../../src/core/trace.ts';
import { letGo, session, siteFolder, wall, writeRows } from './example.ts';

const DAY_MS = 86_400_000;
const MIN_MS = 60_000;
const PLAN = {
  name: 'Draft',
  hash: 'x',
  resolved: { animals: { fromKg: 12, toKg: 65 }, lots: [{ belowKg: 40 }, {}] },
};
const tag = (n: number): string => `99900000000${String(n).padStart(4, '0')}`;

function event(id: string, ms: number, what: Event): RowMessage {
  return { kind: 'event', session: id, t: ms, event: what, wall: wall(ms) };
}

function evening(siteDir: string, ask: { killingOut?: number; targetKg?: number } = {}): Evening {
  const { killingOut = null, targetKg = null } = ask;
  const found = openBook(siteDir).evening({ day: null, farm: null, killingOut, targetKg });
  if (found === null || 'farms' in found) throw new Error('no evening');
  return found;
}

/** Two days: 30, 35 and 41 kg, then 14 days later 37, 36 and 41.5 kg. */
function fortnight(second: Parameters<typeof session>[1] = {}): string {
  const siteDir = siteFolder();
  const weights = (id: string, kgs: number[], ms: number): RowMessage[] =>
    kgs.map((recordedKg, i) =>
      letGo(i + 1, { session: id, tag: tag(i + 1), recordedKg, uncertaintyKg: 0.98 }, wall(ms + i)),
    );
  writeRows(siteDir, [
    session('A', { farm: 'Low Fold', plan: PLAN, fleece: 'dry', hoursOffFeed: 2 }),
    ...weights('A', [30, 35, 41], 0),
    session('B', { farm: 'Low Fold', plan: PLAN, fleece: 'dry', hoursOffFeed: 2, ...second }),
    ...weights('B', [37, 36, 41.5], 14 * DAY_MS),
  ]);
  return siteDir;
}

describe('what the animals gained', () => {
  it('is averaged over the flock; what each weight adds gets smaller with the head', () => {
    const { flock, gains } = evening(fortnight());
    // By hand: 7, 1 and 0.5 kg in 14 days are 500, 71.4, 35.7 g/d, mean 202.4, SD 258.3. One gain:
    // sqrt(0.98^2 + 0.98^2) kg / 14 d = 98.99 g/d; the mean of three: / sqrt 3 = 57.15.
    expect(gains.map(({ gramsADay }) => Math.round(gramsADay))).toEqual([500, 71, 36]);
    expect(gains[0]).toMatchObject({ fromKg: 30, fromDay: '2026-09-12', kg: 37 });
    expect(flock?.gramsADay).toBeCloseTo(202.38, 1);
    expect(flock?.sd).toBeCloseTo(258.3, 0);
    expect(flock?.uncertainty).toBeCloseTo(57.15, 1);
    expect(flock?.widened).toEqual([]);
  });

  it('is less sure where all were wet, however many they are, and says so', () => {
    const { flock } = evening(fortnight({ fleece: 'wet' }));
    // By hand: 2 steps are 2 kg: 1.96 * 2 / sqrt 3 / 14 d = 161.66 g/d, shared; with 57.15: 171.5.
    expect(flock?.uncertainty).toBeCloseTo(171.5, 0);
    expect(flock?.widened).toEqual(['fleece dry then, wet now']);
  });

  it('says who reaches the target when, as an interval', () => {
    const { target } = evening(fortnight());
    expect(target).toMatchObject({ kg: 40, there: 1, unknown: 0 });
    // By hand, from 2026-09-26: 3 kg at 500 g/d are 6 days; 2.02 kg at 598.99: 4; 3.98 kg at 401.01: 10.
    expect(target?.coming[0]).toMatchObject({
      ...{ tag: tag(1), day: '2026-10-02', earliest: '2026-09-30', latest: '2026-10-06' },
    });
    // 4 kg at 71.4 g/d are 56 days; at the lower end of its gain it never gets there.
    expect(target?.coming[1]).toMatchObject({ tag: tag(2), day: '2026-11-21', latest: null });
    expect(evening(fortnight(), { targetKg: 45 }).target).toMatchObject({ there: 0 });
  });
});

describe('how the day went', () => {
  it('counts animals an hour without the stops, and names stops and faults', () => {
    const siteDir = siteFolder();
    writeRows(siteDir, [
      session('A'),
      event('A', 0, { kind: 'mode', mode: 'running', why: 'start' }),
      ...Array.from({ length: 30 }, (_, i) =>
        letGo(i + 1, { session: 'A' }, wall((i + 1) * 10_000)),
      ),
      event('A', 5 * MIN_MS, { kind: 'fault', fault: 'stop-pressed', on: true }),
      event('A', 5 * MIN_MS, { kind: 'mode', mode: 'fault', why: 'stop pressed' }),
      event('A', 8 * MIN_MS, { kind: 'fault', fault: 'stop-pressed', on: false }),
      event('A', 15 * MIN_MS, { kind: 'mode', mode: 'running', why: 'start' }),
      ...Array.from({ length: 30 }, (_, i) =>
        letGo(i + 31, { session: 'A' }, wall(15 * MIN_MS + (i + 1) * 10_000)),
      ),
      event('A', 21 * MIN_MS, { kind: 'mode', mode: 'stopped', why: 'stop' }),
    ]);
    const { pace } = evening(siteDir);
    expect(pace.sortingMinutes).toBeCloseTo(10, 6);
    expect(pace.minutes).toBeCloseTo(20, 6);
    expect(pace.anHour).toBeCloseTo(360, 6);
    expect(pace.stops).toEqual([
      { time: '09:05', minutes: 10, mode: 'fault', why: 'stop pressed' },
    ]);
    expect(pace.faults).toEqual([{ fault: 'stop-pressed', times: 1, first: '09:05' }]);
    expect(pace.quarters.map(({ head }) => head)).toEqual([30, 30]);
  });
});

describe('what was given', () => {
  it('stands in the evening by product and batch, also after another product', () => {
    const siteDir = siteFolder();
    const give = (product: string, batch: string, ms: number): RowMessage => ({
      ...{ kind: 'given', session: 'A', who: null, wall: wall(ms) },
      given: {
        ...{ product, batch, expiry: '2027-01-01', mlPerKg: 0.2, stepMl: 0.5 },
        ...{ days: 14, use: 'label' },
      },
    });
    const dosed = (animal: number, doseMl: number | null): RowMessage => {
      const row = letGo(animal, { session: 'A' });
      return row.kind === 'crossing' ? { ...row, doseMl } : row;
    };
    const nothing = { session: 'A', animal: 3, kind: 'dose', value: false } as const;
    writeRows(siteDir, [
      session('A'),
      give('Drench', 'B1', 0),
      ...[dosed(1, 8.5), dosed(2, 7.6), dosed(3, 9)],
      give('Drench', 'B2', 31_000),
      dosed(4, 9.5),
      give('Other', 'C', 41_000),
      ...[dosed(5, null), dosed(6, 0.1)],
      { kind: 'correction', correction: { ...nothing, who: null, why: null }, wall: wall(60_000) },
    ]);
    expect(evening(siteDir).given).toEqual([
      { product: 'Drench', batch: 'B1', head: 2, ml: 16.1, unknown: 0 },
      { product: 'Drench', batch: 'B2', head: 1, ml: 9.5, unknown: 0 },
      { product: 'Other', batch: 'C', head: 1, ml: 0.1, unknown: 1 },
    ]);
    expect(givenWords(evening(siteDir)).at(-1)).toBe(
      'given Other, batch C: 1 head, 0.1 ml; 1 head not known',
    );
    const csv = openBook(siteDir).csv(null, null, PLAIN_CSV);
    const rows = typeof csv === 'string' ? csv.trim().split('\n') : [];
    expect(rows[0]).toMatch(/,notCounted,product,batch,ml$/);
    expect(rows[1]).toMatch(/,Drench,B1,8\.5$/);
    expect(rows[3]).toMatch(/,,,$/);
    expect(rows[5]).toMatch(/,Other,C,$/);
  });
});

describe('head in and head out', () => {
  it('agree: what went through is what counts and what does not, and what counts is in the pens', () => {
    const siteDir = siteFolder();
    writeRows(siteDir, [
      letGo(1, { tag: tag(1) }),
      letGo(2, { tag: tag(1) }),
      letGo(3, { exit: 'left' }),
      letGo(4, { exit: null }),
    ]);
    const { head } = evening(siteDir);
    expect(head).toMatchObject({
      through: 4,
      counted: 3,
      notCounted: [{ why: 'the same tag was seen again later', head: 1 }],
    });
    expect(head.pens).toEqual([
      { pen: 'ahead', head: 1 },
      { pen: 'left', head: 1 },
      { pen: null, head: 1 },
    ]);
  });
});

describe('what was given today', () => {
  const given = { product: 'Drench', batch: 'B1', expiry: '', mlPerKg: 0.2, stepMl: 0.5 };

  it('holds the animal until the day after its period, or until the vet says where off the label', () => {
    for (const [use, freeOn] of [
      ['label', '2026-09-19'],
      ['off-label', null],
    ] as const) {
      const siteDir = siteFolder();
      const all = { ...given, days: 6, use };
      writeRows(siteDir, [
        { kind: 'given', session: 'S1', given: all, who: null, wall: wall(0) },
        letGo(1, { tag: tag(1) }),
      ]);
      expect(evening(siteDir).look.held).toMatchObject([{ tag: tag(1), freeOn }]);
    }
  });
});

describe('one animal by the last digits of its tag', () => {
  it('has every weight on its farm, with the gain since the one before', () => {
    const siteDir = fortnight();
    const found = openBook(siteDir).animals('00001', 'Low Fold');
    expect(found).toHaveLength(1);
    expect(found[0]).toMatchObject({
      tag: tag(1),
      weights: [
        { day: '2026-09-26', kg: 37, gain: { widened: [] } },
        { day: '2026-09-12', kg: 30, gain: null },
      ],
    });
    expect(found[0]?.weights[0]?.gain?.gramsADay).toBeCloseTo(500, 1);
    expect(openBook(siteDir).animals('00001', 'Hill End')).toEqual([]);
    expect(openBook(siteDir).animals('99999', null)).toEqual([]);
  });

  it('has weights from lists of its farm too, called so, in their place', () => {
    const siteDir = fortnight();
    const listed = (n: number, farm: string, day: string, kg: number) => ({
      tag: tag(n),
      farm,
      day,
      kg,
    });
    const weights = [
      listed(1, 'Low Fold', '2026-08-22', 24),
      listed(1, 'Low Fold', '2026-09-20', 33.2),
      listed(1, 'Hill End', '2026-09-21', 50),
      listed(9, 'Low Fold', '2026-08-22', 20),
    ];
    writeRows(siteDir, [{ kind: 'earlier-weights', weights, wall: wall(0) }]);
    const [one] = openBook(siteDir).animals('00001', 'Low Fold');
    expect(one?.weights.map(({ day, source, kg }) => [day, source, kg])).toEqual([
      ['2026-09-26', 'crossing', 37],
      ['2026-09-20', 'list', 33.2],
      ['2026-09-12', 'crossing', 30],
      ['2026-08-22', 'list', 24],
    ]);
    // By hand: 3.8 kg in 6 days, 3.2 in 8, 6 in 21.
    const gains = one?.weights.map(({ gain }) =>
      gain === null ? null : Math.round(gain.gramsADay),
    );
    expect(gains).toEqual([633, 400, 286, null]);
    expect(one?.weights[0]?.gain?.widened).toContain('fleece known only once');
    expect(openBook(siteDir).animals('00009', 'Low Fold')).toMatchObject([
      { tag: tag(9), weights: [{ day: '2026-08-22', source: 'list', kg: 20, gain: null }] },
    ]);
    expect(openBook(siteDir).animals('00009', 'Hill End')).toEqual([]);
  });
});

describe('a day of two farms', () => {
  it('is never put together', () => {
    const siteDir = siteFolder();
    writeRows(siteDir, [
      session('S1', { farm: 'Low Fold' }),
      letGo(1),
      letGo(1, { session: 'S2' }),
    ]);
    const book = openBook(siteDir);
    const ask = { day: null, killingOut: null, targetKg: null };
    expect(book.evening({ ...ask, farm: null })).toEqual({
      day: '2026-09-12',
      farms: ['Low Fold', ''],
    });
    expect(book.evening({ ...ask, farm: '' })).toMatchObject({ farm: null, head: { counted: 1 } });
    expect(book.csv(null, null, { separator: ',', decimal: '.', bom: false })).toHaveProperty(
      'refused',
    );
    expect(book.days()).toEqual([{ day: '2026-09-12', farms: ['', 'Low Fold'] }]);
  });
});

describe('the battery over the day', () => {
  it('has the first voltage of each quarter of an hour, at rest and while a leaf moved', () => {
    const siteDir = siteFolder();
    const told = (ms: number, restVolts: number, movingVolts: number | null): RowMessage =>
      event('A', ms, { kind: 'battery', restVolts, movingVolts });
    writeRows(siteDir, [
      session('A', { plan: PLAN }),
      letGo(1, { session: 'A' }, wall(0)),
      told(0, 12.6, null),
      told(10 * MIN_MS, 12.55, 12.1),
      told(20 * MIN_MS, 12.4, 11.9),
      letGo(2, { session: 'A' }, wall(30 * MIN_MS)),
    ]);
    expect(evening(siteDir).pace.battery).toEqual([
      { time: '09:00', restVolts: 12.6, movingVolts: null },
      { time: '09:20', restVolts: 12.4, movingVolts: 11.9 },
    ]);
  });
});
