/** Lists and the treatment record of two farms in one site folder: each is its own farm's alone. */
import { existsSync, mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { checkBackup } from '../src/adapters/records/backup.ts';
import { forgetFarm } from '../src/adapters/records/forget.ts';
import { writeSiteFiles } from '../src/adapters/records/site-files.ts';
import type { SessionShown } from '../src/adapters/session.ts';
import { loadFacts } from '../src/config/facts.ts';
import { newPlan, planVersion } from '../src/config/plan.ts';
import { makeSite } from '../src/config/starting-site.ts';
import { dayNumber } from '../src/core/sortplan/days.ts';
import type { Plan } from '../src/core/sortplan/plan.ts';
import { OFF_LABEL } from '../src/core/sortplan/withdrawal.ts';
import { createKnowledge, type Knowledge } from '../src/knowledge.ts';
import { layout } from './adapters/page/sample.ts';
import { OPERATOR, serve } from './adapters/page/served.ts';
import {
  letGo,
  MORNING,
  session,
  siteFolder,
  wall,
  writeRows,
} from './adapters/records/example.ts';

const [ONE, TWO, THREE] = ['999000000000001', '999000000000002', '999000000000003'];
const FARMS = ['Upper', 'Lower', null];
const LIST = `tag,farm\n${ONE},Upper\n${TWO},Lower\n${THREE},\n`;
const RECORD =
  'product,given,days,batch,use,tag,mob,colour,farm\n' +
  'Drench,2026-09-10,14,B1,label,,Ewe lambs,,Upper\n' +
  `Dip,2026-09-10,14,B2,label,${TWO},,,Lower\n`;

/** A site folder with the list and the record above, or as they are given. */
function site(files: Record<string, string> = {}): string {
  const dir = siteFolder();
  mkdirSync(join(dir, 'plans'));
  const all = { 'plans/keep.csv': LIST, 'treatments.csv': RECORD, ...files };
  for (const [name, text] of Object.entries(all)) writeFileSync(join(dir, name), text);
  return dir;
}

const PLAN: Plan = {
  ...newPlan(['left', 'ahead', 'right']),
  tags: {
    lists: [{ file: 'keep.csv', lot: 'Stores' }],
    withdrawal: { lot: 'Stores' },
    unread: 'hold',
  },
};

/** What is known while a session of that farm is on. */
function known(dir: string, farm: string | null): Knowledge {
  const facts = loadFacts(dir, PLAN, dayNumber('2026-09-12'));
  if (!facts.ok) throw new Error(JSON.stringify(facts.errors));
  return createKnowledge({
    ...{ plan: PLAN, version: planVersion(PLAN), facts: facts.value, offLabel: OFF_LABEL },
    zone: 'UTC',
    now: () => ({ atMs: MORNING, clockSet: true }),
    session: () => ({ farm, mob: 'Ewe lambs', treatments: [] }),
  });
}

describe('a tag list', () => {
  it('is applied to the farm that its rows name; a row that names none is everybody’s', () => {
    const dir = site();
    const lists = (tag: string): unknown[] =>
      FARMS.map((farm) => known(dir, farm).factsOf(tag).list);
    expect(lists(ONE)).toEqual(['keep.csv', null, null]);
    expect(lists(TWO)).toEqual([null, 'keep.csv', null]);
    expect(lists(THREE)).toEqual(['keep.csv', 'keep.csv', 'keep.csv']);
  });
});

describe('the treatment record', () => {
  it('holds a mob of its own farm alone, and of one that nobody named; a tag wherever it is', () => {
    const dir = site();
    const mobHeld = [...FARMS.slice(0, 2), 'Third', null].map(
      (farm) => known(dir, farm).plan().medicine?.untaggedHeld ?? false,
    );
    expect(mobHeld).toEqual([true, true, false, true]);
    // The meat of an animal that was sold is no sooner free for it; another's without a tag is not held.
    expect(FARMS.map((farm) => known(dir, farm).factsOf(TWO).held)).toEqual([true, true, true]);
  });

  it('or a list, that has nothing left but its header is empty, and no error', () => {
    const dir = site({
      'treatments.csv': `${RECORD.split('\n', 1)[0] ?? ''}\n`,
      'plans/keep.csv': 'tag,farm\n',
    });
    expect(known(dir, null).factsOf(ONE)).toMatchObject({ held: false, list: null });
  });

  it('that was kept before farms stood in it is read as everybody’s', () => {
    const dir = site({ 'treatments.csv': RECORD.replaceAll(/,(farm|Upper|Lower)$/gm, '') });
    expect(FARMS.map((farm) => known(dir, farm).plan().medicine?.untaggedHeld)).toEqual([
      true,
      true,
      true,
    ]);
  });
});

describe('on the page', () => {
  const shown = (farm: string | null): SessionShown => ({
    ...{ id: 'S', begun: null, choose: false, given: null, offered: [], head: 0, perLot: {} },
    ...{ penOf: {}, pens: [], again: [], recent: [], clock: { set: true, local: '09:00' } },
    words: {
      ...{ farm, holding: null, flockMark: null, mob: null, field: null, hoursOffFeed: null },
      ...{ fleece: null, who: null },
    },
  });

  async function desk() {
    const served = await serve();
    makeSite(served.siteDir);
    served.page.describe(layout);
    served.time.wall = Date.UTC(2026, 8, 14, 9);
    const cookies = await served.signIn(OPERATOR);
    // As the records' thread does: in a while, and then whole.
    served.take = async ({ files }) => {
      await new Promise((resolve) => setImmediate(resolve));
      expect(writeSiteFiles(served.siteDir, files)).toBeNull();
    };
    return {
      siteDir: served.siteDir,
      handed: () => served.changes.length,
      of: (farm: string | null) => {
        served.page.tellSession(shown(farm));
      },
      get: async (url: string) => (await served.inject({ url })).json<Record<string, unknown>>(),
      post: async (url: string, payload: object) =>
        (await served.inject({ method: 'POST', url, payload, cookies })).statusCode,
      say: async (url: string, payload: object) =>
        (await served.inject({ method: 'POST', url, payload, cookies })).json<object>(),
      file: (name: string) => readFileSync(join(served.siteDir, name), 'utf8'),
    };
  }

  it('a list is kept as the session’s farm’s, leaves the rows of others, and is shown for its own', async () => {
    const d = await desk();
    const save = (text: string): Promise<number> =>
      d.post('/api/lists/save', { kind: 'tags', file: 'keep.csv', text });
    d.of('Upper');
    await save(`${ONE}\n`);
    d.of('Lower');
    expect(await d.get('/api/lists')).toEqual({ lists: [] });
    await save(`${TWO}\n`);
    await save(`${THREE}\n`);
    expect(d.file('plans/keep.csv')).toBe(`tag,farm\n${ONE},Upper\n${THREE},Lower\n`);
    expect(await d.get('/api/lists')).toMatchObject({ lists: [{ file: 'keep.csv' }] });
    d.of('Third');
    expect(await d.get('/api/lists')).toEqual({ lists: [] });
  });

  it('a list that names another farm than the session’s is refused and changes nothing', async () => {
    const d = await desk();
    d.of('Upper');
    const list = { kind: 'tags', file: 'keep.csv', text: `tag,farm\n${ONE},Lower\n` };
    const refused = expect.objectContaining({
      errors: [expect.objectContaining({ message: expect.stringContaining('Lower') as string })],
    }) as unknown;
    expect(await d.say('/api/lists/check', list)).toEqual(refused);
    expect(await d.say('/api/lists/save', list)).toEqual(refused);
    expect(d.handed()).toBe(0);
  });

  it('the past sessions that a plan is tried on are the farm’s, on a day of two farms too', async () => {
    const d = await desk();
    writeRows(d.siteDir, [
      session('A', { farm: 'Upper' }),
      letGo(1, { session: 'A', recordedKg: 40 }),
      session('B', { farm: 'Lower' }),
      letGo(1, { session: 'B', recordedKg: 30 }),
    ]);
    d.of('Lower');
    expect(await d.get('/api/past')).toMatchObject({ sessions: [{ session: 'B', kg: [30] }] });
    d.of('Third');
    expect(await d.get('/api/past')).toMatchObject({ days: [], sessions: [] });
  });

  it('two phones that add a treatment at the same time both have it kept', async () => {
    const d = await desk();
    d.of('Upper');
    const dose = { given: '2026-09-10', days: '14', batch: 'B', use: 'label' };
    const to = { tags: '', mob: 'Ewe lambs', colour: '' };
    await Promise.all(
      ['Drench', 'Dip'].map((product) => d.say('/api/treatments/add', { product, ...dose, ...to })),
    );
    expect(d.file('treatments.csv')).toMatch(/\nDrench,[^\n]*\nDip,/);
  });

  it('a treatment is the session’s farm’s: shown and corrected there alone', async () => {
    const d = await desk();
    const dose = { product: 'Drench', given: '2026-09-10', days: '14', batch: 'B', use: 'label' };
    const to = { tags: '', mob: 'Ewe lambs', colour: '' };
    const names = async (): Promise<unknown> =>
      ((await d.get('/api/treatments'))['treatments'] as { product: string }[]).map(
        (one) => one.product,
      );
    d.of('Upper');
    await d.post('/api/treatments/add', { ...dose, ...to });
    d.of('Lower');
    await d.post('/api/treatments/add', { ...dose, ...to, product: 'Dip' });
    expect(await names()).toEqual(['Dip']);
    const { record, farm } = await d.get('/api/treatments');
    expect(farm).toBe('Lower');
    const right = { given: '2026-09-01', days: '14' };
    await d.post('/api/treatments/correct', { record, at: 0, right, why: 'misread' });
    expect(d.file('treatments.csv').trim().split('\n').slice(1)).toEqual([
      'Drench,2026-09-10,14,B,label,,Ewe lambs,,Upper',
      'Dip,2026-09-01,14,B,label,,Ewe lambs,,Lower',
    ]);
    expect(d.file('treatments-corrected.csv')).toMatch(/,farm\nDip,2026-09-10.*,misread,Lower\n$/);
    d.of('Upper');
    expect(await names()).toEqual(['Drench']);
  });
});

describe('a farm that is deleted', () => {
  it('takes its rows out of every list, and no row of another', () => {
    const corrected =
      'product,given,days,batch,use,tag,mob,colour,corrected,by,why,farm\n' +
      'Dip,2026-09-01,14,B2,label,,,,2026-09-11,phone 1,misread,Lower\n';
    const dir = site({ 'treatments-corrected.csv': corrected });
    writeRows(dir, [
      session('A', { farm: 'Upper' }),
      letGo(1, { session: 'A', tag: ONE }),
      session('B', { farm: 'Lower' }),
      letGo(1, { session: 'B', tag: TWO }, wall(0)),
    ]);
    const done = forgetFarm(dir, 'Lower', MORNING);
    expect(done).toMatchObject({ sessions: 1, crossings: 1 });
    const text = (name: string): string => readFileSync(join(dir, name), 'utf8');
    expect(text('plans/keep.csv')).toBe(`tag,farm\n${ONE},Upper\n${THREE},\n`);
    expect(text('treatments.csv')).toBe(RECORD.split('\n').slice(0, 2).join('\n') + '\n');
    expect(text('treatments-corrected.csv').trim().split('\n')).toHaveLength(1);
    expect(known(dir, 'Upper').factsOf(ONE).list).toBe('keep.csv');
    const backup = done?.backup ?? '';
    expect(checkBackup(backup).crossings).toBe(2);
    expect(existsSync(join(backup, 'treatments.csv'))).toBe(true);
    expect(readFileSync(join(backup, 'plans/keep.csv'), 'utf8')).toBe(LIST);
  });

  it('and is known from its lists alone is deleted too', () => {
    const dir = site();
    writeRows(dir, [session('A', { farm: 'Upper' }), letGo(1, { session: 'A' })]);
    expect(forgetFarm(dir, 'Lower', MORNING)).toMatchObject({ sessions: 0, crossings: 0 });
    expect(readFileSync(join(dir, 'treatments.csv'), 'utf8')).not.toContain('Lower');
    expect(forgetFarm(dir, 'Lower', MORNING)).toBeNull();
  });
});
