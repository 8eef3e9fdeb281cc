/** Another plan within a session: taken only stopped and empty, replayed exactly, known by its hash. */
import { expect, test } from 'vitest';
import { fakeClock } from '../../src/adapters/clock/clock.ts';
import { createSimulatedBoard } from '../../src/adapters/relays/simulated.ts';
import { defaultConfig } from '../../src/config/defaults.ts';
import { planVersion } from '../../src/config/plan.ts';
import type { PlanInUse } from '../../src/config/site-change.ts';
import type { Plan } from '../../src/core/sortplan/plan.ts';
import type { RecordedTreatment } from '../../src/config/lists.ts';
import { OFF_LABEL } from '../../src/core/sortplan/withdrawal.ts';
import type { Crossing, Input } from '../../src/core/trace.ts';
import type { KeptRecord } from '../../src/core/trace-codec.ts';
import {
  changeSite,
  createKnowledge,
  refreshMedicine,
  type Changing,
} from '../../src/knowledge.ts';
import { Loop } from '../../src/loop.ts';
import { run, type Produced } from '../../src/replay/run.ts';
import { firstDifference } from '../../src/replay/verify.ts';

const TAG = '999000000000001';

function bench() {
  const scale = { divisionKg: 0.1, rateHz: 10 };
  const config = defaultConfig({ scale, inputs: ['frontShut', 'stopLoop'] });
  const clock = fakeClock(Date.UTC(2026, 8, 14, 7));
  const board = createSimulatedBoard(config.inputs);
  const loop = new Loop({ config, version: '0', clock, board, session: 'S1' });
  const start = loop.state;
  const records: (Input | KeptRecord)[] = [];
  const crossings: { crossing: Crossing; version: string }[] = [];
  const files: string[] = [];
  const knowledge = createKnowledge({
    ...{ plan: config.plan, version: planVersion(config.plan), offLabel: OFF_LABEL, zone: 'UTC' },
    facts: { listOf: () => null, treatments: [] },
    now: () => ({ atMs: clock.wallAt(clock.now()), clockSet: true }),
    session: () => ({ farm: null, mob: null, treatments: [] }),
  });
  let version = planVersion(config.plan);
  loop.keep({
    input: (record) => records.push(record),
    output: (t, output, on) => records.push({ t, output, on }),
    event: (t, event) => records.push({ t, event }),
    crossing: (crossing, _session, final) => final || crossings.push({ crossing, version }),
    rotate: () => undefined,
  });
  loop.onEvents(knowledge.follow);
  const changing: Changing = {
    ...{ loop, knowledge, keepWeights: () => [], keepCheck: () => undefined },
    writeFiles: (given) => {
      files.push(...given.map(({ path }) => path));
      return Promise.resolve(null);
    },
    changed: () => {
      version = knowledge.kept().hash;
    },
  };
  let kg = 0;
  const tick = (ms: number): void => {
    for (let gone = 0; gone < ms; gone += 20) {
      if (gone % 100 === 0) loop.arrive((t) => ({ t, kg }));
      loop.pump();
      clock.advance(20);
    }
  };
  const until = (ready: () => boolean): void => {
    for (let n = 0; !ready(); n += 1) {
      if (n > 1000) throw new Error('waited in vain');
      tick(100);
    }
  };
  board.shown = { frontShut: true, stopLoop: true };
  tick(1500);
  const startSorting = (): void => {
    loop.command({ do: 'start' });
    loop.command({ do: 'confirm' });
    until(() => loop.state.cycle.mode === 'running');
  };
  const lamb = (weight: number, tag?: string): void => {
    kg = weight;
    tick(500);
    if (tag !== undefined) loop.arrive((t) => ({ t, tag, known: knowledge.factsOf(tag) }));
    until(() => loop.state.cycle.animal?.readyAt !== null);
    board.shown = { ...board.shown, frontShut: false };
    tick(300);
    kg = 0;
    tick(600);
    board.shown = { ...board.shown, frontShut: true };
    tick(1500);
  };
  return {
    config,
    clock,
    loop,
    start,
    records,
    crossings,
    files,
    knowledge,
    changing,
    startSorting,
    lamb,
    tick,
  };
}

function use(plan: Plan, more: Partial<PlanInUse> = {}): PlanInUse {
  return { plan, version: planVersion(plan), lists: [], treatments: [], ...more };
}

const inUse = (given: PlanInUse, path = 'site.yaml') => ({
  files: [{ path, text: '' }],
  use: given,
  weights: [],
});

test('is refused while sorting, and then nothing is written; taken when stopped and empty', async () => {
  const b = bench();
  const other: Plan = { ...b.config.plan, name: 'Other' };
  b.startSorting();
  const refused = await changeSite(inUse(use(other)), b.changing);
  expect(refused).toEqual({ ok: false, reason: expect.stringContaining('Stop first') as string });
  expect([b.files, b.loop.config.plan.name]).toEqual([[], b.config.plan.name]);
  b.loop.command({ do: 'stop' });
  expect(await changeSite(inUse(use(other)), b.changing)).toEqual({ ok: true });
  expect([b.files, b.loop.config.plan.name]).toEqual([['site.yaml'], 'Other']);
});

test('a change of files that are not in use is written at any time', async () => {
  const b = bench();
  b.startSorting();
  const change = { files: [{ path: 'plans/next.yaml', text: '' }], use: null, weights: [] };
  expect(await changeSite(change, b.changing)).toEqual({ ok: true });
  expect(b.files).toEqual(['plans/next.yaml']);
});

test('the next animals go by it, each row has the plan that decided it, and replay gives the same', async () => {
  const b = bench();
  const [stores, ...others] = b.config.plan.lots;
  if (stores === undefined) throw new Error('no lot');
  const lower = { ...b.config.plan, lots: [{ ...stores, belowKg: 38 }, ...others] };
  b.startSorting();
  b.lamb(39.2);
  b.loop.command({ do: 'stop' });
  expect(await changeSite(inUse(use(lower)), b.changing)).toEqual({ ok: true });
  b.startSorting();
  b.lamb(39.2);
  expect(b.crossings.map(({ crossing: { animal, lot, exit } }) => [animal, lot, exit])).toEqual([
    [1, 'Stores', 'left'],
    [2, 'Fit', 'ahead'],
  ]);
  const versions = b.crossings.map(({ version }) => version);
  expect(versions).toEqual([planVersion(b.config.plan), planVersion(lower)]);
  const inputs = b.records.filter((r): r is Input => !('output' in r || 'event' in r));
  const produced: Produced[] = [];
  const replayed = run({
    ...{ config: b.config, state: b.start, inputs, attend: false, untilMs: b.loop.t() - 1 },
    produce: (item) => produced.push(item),
  });
  expect(firstDifference(b.records, produced)).toBeNull();
  expect(replayed).toEqual(b.loop.state);
});

test('a treatment added from the page holds, and its correction lets go', async () => {
  const b = bench();
  const tags = { lists: [], withdrawal: { lot: 'Stores' }, unread: { lot: 'Stores' } };
  const plan: Plan = { ...b.config.plan, tags, mob: 'Top field' };
  const drench: RecordedTreatment = {
    ...{ product: 'Drench', batch: 'B1', givenDay: 20_709, days: 14, use: 'label' },
    ...{ tags: [TAG], mob: 'Top field', colour: null, farm: null },
  };
  await changeSite(inUse(use(plan, { treatments: [drench] }), 'treatments.csv'), b.changing);
  expect(b.loop.config.plan.medicine).toMatchObject({ untaggedHeld: true });
  expect(b.knowledge.factsOf(TAG)).toMatchObject({ held: true, freeOn: '2026-09-28' });
  b.startSorting();
  b.lamb(46.2, TAG);
  b.lamb(46.2);
  b.loop.command({ do: 'stop' });
  await changeSite(inUse(use(plan), 'treatments.csv'), b.changing);
  expect(b.knowledge.factsOf(TAG)).toMatchObject({ held: false, freeOn: null });
  b.startSorting();
  b.lamb(46.2, TAG);
  expect(b.crossings.map(({ crossing: { lot, rule } }) => [lot, rule])).toEqual([
    ['Stores', 'withdrawal'],
    ['Stores', 'withdrawal'],
    ['Heavy', expect.stringMatching(/settled|sure/)],
  ]);
});

test('what the record says of the mob follows the day, once nothing is under way', async () => {
  const b = bench();
  const plan: Plan = { ...b.config.plan, mob: 'Top field' };
  const given: RecordedTreatment = {
    ...{ product: 'Drench', batch: '', givenDay: 20_709, days: 1, use: 'label' },
    ...{ tags: [], mob: 'Top field', colour: null, farm: null },
  };
  await changeSite(inUse(use(plan, { treatments: [given] })), b.changing);
  expect(b.loop.config.plan.medicine?.untaggedHeld).toBe(true);
  b.startSorting();
  b.clock.setWall(Date.UTC(2026, 8, 16, 7), true);
  refreshMedicine(b.changing);
  expect(b.loop.config.plan.medicine?.untaggedHeld).toBe(true);
  b.loop.command({ do: 'stop' });
  refreshMedicine(b.changing);
  expect(b.loop.config.plan.medicine?.untaggedHeld).toBe(false);
});

test('earlier weights from a list, and those of this service, are known with the next tag', () => {
  const b = bench();
  b.knowledge.weighed([
    { tag: TAG, farm: null, kg: 30, day: '2026-08-24' },
    { tag: TAG, farm: null, kg: 28, day: '2026-08-10' },
    { tag: TAG, farm: 'Another', kg: 50, day: '2026-08-30' },
  ]);
  expect(b.knowledge.factsOf(TAG)).toMatchObject({ lastKg: 30, lastDays: 21 });
  b.startSorting();
  b.lamb(36.3, TAG);
  // Weighed today: a second passage is compared with the weight of the day before that.
  expect(b.knowledge.factsOf(TAG)).toMatchObject({ lastKg: 30, lastDays: 21 });
  b.clock.setWall(Date.UTC(2026, 8, 24, 7), true);
  const { lastKg, lastDays } = b.knowledge.factsOf(TAG);
  expect(lastKg).toBeCloseTo(36.3, 1);
  expect(lastDays).toBe(10);
});
