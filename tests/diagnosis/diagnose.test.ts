/** Single findings on traces written by hand, where the simulated morning cannot bring them about. */
import { expect, test } from 'vitest';
import { harmSite } from '../harm/site.ts';
import type { Input, TraceHeader } from '../../src/core/trace.ts';
import type { KeptRecord } from '../../src/core/trace-codec.ts';
import { diagnose } from '../../src/diagnosis/diagnose.ts';
import type { Finding } from '../../src/diagnosis/finding.ts';

const { config } = harmSite('three-way-switched', 'along');
const header: TraceHeader = {
  trace: 1,
  startedAt: null,
  scale: { divisionKg: 0.1, rateHz: 10 },
  inputs: ['leafA.extended', 'leafA.retracted', 'frontShut'],
  config,
};
type Records = (Input | KeptRecord)[];
const found = (records: Records, more: Partial<TraceHeader> = {}): Finding[] =>
  diagnose({ header: { ...header, ...more }, records, bytes: null, knownKg: null });

/** One stroke of leaf A from the other end; `ms` null: it does not leave its end. */
function stroke(t: number, direction: 'extend' | 'retract', ms: number | null): Records {
  const [near, far] =
    direction === 'extend' ? ['retracted', 'extended'] : ['extended', 'retracted'];
  const output = `leafA.${direction}`;
  const on: Records = [{ t, output, on: true }];
  if (ms === null) return [...on, { t: t + 1000, output, on: false }];
  return [
    ...on,
    { t: t + 100, input: `leafA.${near}`, on: false },
    { t: t + ms, input: `leafA.${far}`, on: true },
    { t: t + ms + 100, output, on: false },
  ];
}

test('a relay is told from a fuse once the other direction has gone well', () => {
  const records: Records = [
    { t: 0, input: 'leafA.extended', on: true },
    ...stroke(1000, 'retract', null),
    ...stroke(4000, 'retract', null),
  ];
  expect(found(records)).toMatchObject([{ name: 'leaf-dead', about: 'leafA', number: 2 }]);
  const tried: Records = [
    { t: 0, input: 'leafA.retracted', on: true },
    ...stroke(1000, 'extend', 640),
    ...stroke(4000, 'retract', null),
    { t: 6000, input: 'leafA.extended', on: false },
    { t: 6500, input: 'leafA.retracted', on: true },
    ...stroke(7000, 'extend', 640),
    ...stroke(9000, 'retract', null),
  ];
  expect(found(tried)).toMatchObject([{ name: 'relay-dead', about: 'leafA.retract' }]);
});

test('a slow leaf without a battery input is not blamed on one of the two', () => {
  const there: Records = [{ t: 0, input: 'leafA.retracted', on: true }];
  const slow = [0, 1, 2].flatMap((i) => [
    ...stroke(1000 + 4000 * i, 'extend', 820),
    ...stroke(3000 + 4000 * i, 'retract', 820),
  ]);
  expect(found([...there, ...slow])).toMatchObject([{ name: 'leaf-slow', number: 820 }]);
  const quick = slow.map((r) => ('input' in r && r.on ? { ...r, t: r.t - 200 } : r));
  expect(found([...there, ...quick].sort((a, b) => a.t - b.t))).toEqual([]);
});

test('an actuator that rests once is a day’s work, again and again is worth a line', () => {
  const rest = (t: number): Records => [
    { t, event: { kind: 'fault', fault: 'duty-spent', on: true } },
    { t: t + 500, event: { kind: 'fault', fault: 'duty-spent', on: false } },
  ];
  expect(found(rest(1000))).toEqual([]);
  const often = [1000, 9000, 17_000].flatMap(rest);
  expect(found(often)).toMatchObject([{ name: 'duty-spent', number: 3, said: /first at 1\.0 s/ }]);
});

test('a trace that names no configuration is looked at for what it has', () => {
  const bare = { trace: 1 as const, startedAt: null, scale: header.scale, inputs: [] };
  const records: Records = Array.from({ length: 60 }, (_, i) => ({
    t: 100 * i,
    kg: i % 2 === 0 ? 0.6 : -0.6,
  }));
  const names = diagnose({ header: bare, records, bytes: null, knownKg: null });
  expect(names.map(({ name }) => name)).toEqual(['platform-swings']);
  expect(diagnose({ header: bare, records: [], bytes: null, knownKg: null })).toEqual([]);
});

test('contacts that stood on when the trace began are known from its first record', () => {
  const state = { contacts: { inputs: { frontShut: { raw: true } } } };
  const left = (t: number): Records[number] => ({
    t,
    event: { kind: 'left', crossing: { animal: t } as never },
  });
  const records: Records = [{ t: 0, state }, left(2000), left(9000), left(16_000)];
  expect(found(records)).toMatchObject([
    {
      name: 'contact-stuck',
      about: 'frontShut',
      said: 'frontShut: on through 3 occasions to change',
    },
  ]);
});

test('readings that an adapter hands over a few at a time are neither lost nor too many', () => {
  const records: Records = Array.from({ length: 120 }, (_, i) => {
    return { t: 300 * Math.floor(i / 3), kg: 0 };
  });
  expect(found(records)).toEqual([]);
  const thinned = records.filter((_, i) => i % 6 !== 0);
  expect(found(thinned)).toMatchObject([{ name: 'frames-lost' }]);
});
