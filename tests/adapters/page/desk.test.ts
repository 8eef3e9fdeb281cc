/** Plans, lists and treatments from the page: checked, resolved and handed to who has the folder. */
import { existsSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import type { SiteChange } from '../../../src/config/site-change.ts';
import { loadPlan, newPlan, planVersion } from '../../../src/config/plan.ts';
import { makeSite } from '../../../src/config/starting-site.ts';
import { writeSiteFiles } from '../../../src/adapters/records/site-files.ts';
import type { Plan } from '../../../src/core/sortplan/plan.ts';
import { layout } from './sample.ts';
import { OPERATOR, serve, type Served } from './served.ts';

const TAG = '999000000000001';

interface Desk extends Served {
  get(url: string): Promise<Record<string, unknown>>;
  post(url: string, payload: object): Promise<{ status: number; body: Record<string, unknown> }>;
  last(): SiteChange;
  /** As the records' thread would. */
  write(): void;
}

async function desk(): Promise<Desk> {
  const served = await serve();
  makeSite(served.siteDir);
  served.page.describe(layout);
  served.time.wall = Date.UTC(2026, 8, 14, 9);
  const cookies = await served.signIn(OPERATOR);
  const last = (): SiteChange => {
    const change = served.changes.at(-1);
    if (change === undefined) throw new Error('nothing was handed over');
    return change;
  };
  return Object.assign(served, {
    get: async (url: string) => (await served.inject({ url })).json<Record<string, unknown>>(),
    post: async (url: string, payload: object) => {
      const response = await served.inject({ method: 'POST', url, payload, cookies });
      return { status: response.statusCode, body: response.json<Record<string, unknown>>() };
    },
    last,
    write: () => {
      expect(writeSiteFiles(served.siteDir, last().files)).toBeNull();
    },
  });
}

const EXITS = ['left', 'ahead', 'right'];
const fresh = newPlan(EXITS);
const tagged: Plan = {
  ...fresh,
  name: 'Draft',
  mob: 'Top field',
  tags: {
    lists: [{ file: 'keep.csv', lot: 'Stores' }],
    withdrawal: { lot: 'Stores' },
    unread: 'hold',
  },
};

describe('plans', () => {
  test('are listed with the one in use, what is wrong with a file, and what a new one starts with', async () => {
    const d = await desk();
    writeFileSync(join(d.siteDir, 'plans/broken.yaml'), 'plan: 1\nname: X\n');
    const found = await d.get('/api/plans');
    expect(found).toMatchObject({ active: 'by-weight', exits: EXITS, fresh });
    expect(found['plans']).toMatchObject([
      { name: 'broken', problem: expect.stringContaining('missing') as string },
      { name: 'by-weight', title: 'By weight', problem: null },
    ]);
  });

  test('what is wrong is said by field, in the loader’s words, and nothing is handed over', async () => {
    const d = await desk();
    const lots = [
      { ...fresh.lots[0], belowKg: 66 },
      { ...fresh.lots[1], exit: 'rigth' },
      fresh.lots[2],
    ];
    const { body } = await d.post('/api/plans/save', {
      name: null,
      plan: { ...fresh, lots },
      use: true,
    });
    expect(body['saved']).toBe(false);
    const problems = body['problems'] as { path: unknown[]; message: string; remedy: string }[];
    expect(problems).toContainEqual({
      path: ['lots', 1, 'exit'],
      message: 'the gate has no exit rigth',
      remedy: 'Did you mean "right"?',
    });
    expect(problems.map(({ path }) => path)).toContainEqual(['lots', 0, 'belowKg']);
    expect(d.changes).toEqual([]);
  });

  test('a new one is saved under a name of its own, and used only when asked for', async () => {
    const d = await desk();
    const { body } = await d.post('/api/plans/save', {
      name: null,
      plan: { ...fresh, name: 'By weight' },
      use: false,
    });
    expect(body).toMatchObject({ saved: true, name: 'by-weight-2' });
    expect(d.last()).toMatchObject({ use: null, files: [{ path: 'plans/by-weight-2.yaml' }] });
    const read = loadPlan(d.last().files[0]?.text ?? '', 'x', EXITS);
    expect(read).toMatchObject({ ok: true, value: { ...fresh, name: 'By weight' } });
    d.write();
    await d.post('/api/plans/use', { name: 'by-weight-2' });
    expect(d.last().files).toMatchObject([{ path: 'site.yaml' }]);
    expect(d.last().files[0]?.text).toContain('plan: by-weight-2 # plans/by-weight.yaml');
    expect(d.last().use?.plan.name).toBe('By weight');
  });

  test('one that is in use is in use with its change at once, and keeps its comments', async () => {
    const d = await desk();
    const { plan } = (await d.get('/api/plans/by-weight')) as { plan: Plan };
    const lots = plan.lots.map((lot, at) => (at === 0 ? { ...lot, belowKg: 38.5 } : lot));
    await d.post('/api/plans/save', { name: 'by-weight', plan: { ...plan, lots }, use: false });
    const [file] = d.last().files;
    expect(file?.text).toContain('belowKg: 38.5');
    expect(file?.text).toContain('# outside: not of this mob, never in averages');
    expect(d.last().use).toMatchObject({ version: planVersion({ ...plan, lots }), lists: [] });
  });

  test('one whose list is missing is refused, with where and what to do', async () => {
    const d = await desk();
    const { status, body } = await d.post('/api/plans/save', {
      name: null,
      plan: tagged,
      use: true,
    });
    expect(status).toBe(409);
    expect(body['reason']).toMatch(/keep\.csv:1:1: the file is not there/i);
    expect(d.changes).toEqual([]);
  });

  test('what the service refuses is said in its words', async () => {
    const d = await desk();
    d.answer = { ok: false, reason: 'Stop first' };
    const { status, body } = await d.post('/api/plans/use', { name: 'by-weight' });
    expect([status, body['reason']]).toEqual([409, 'Stop first']);
  });

  test('nobody saves or uses one without the PIN', async () => {
    const d = await desk();
    for (const url of [
      '/api/plans/save',
      '/api/plans/use',
      '/api/lists/save',
      '/api/treatments/add',
    ]) {
      const response = await d.inject({ method: 'POST', url, payload: {} });
      expect([url, response.statusCode]).toEqual([url, 401]);
    }
    expect(d.changes).toEqual([]);
  });

  test.each(['../site', 'a/b', '.hidden', ''])(
    'a name that is a path (%s) is no name',
    async (name) => {
      const d = await desk();
      expect((await d.post('/api/plans/use', { name })).status).toBe(400);
      expect((await d.post('/api/plans/save', { name, plan: fresh, use: false })).status).toBe(400);
    },
  );
});

describe('lists', () => {
  test('are looked at first: rows, columns, what is not used; nothing is handed over', async () => {
    const d = await desk();
    const text = `tag,name\n${TAG},Bess\n${TAG},Bess\n`;
    const { body } = await d.post('/api/lists/check', { kind: 'tags', file: 'keep.csv', text });
    expect(body['preview']).toMatchObject({
      rows: 1,
      columns: ['tag'],
      unused: ['name'],
      repeated: 1,
    });
    expect(d.changes).toEqual([]);
  });

  test.each([
    ['tags', `tag\n${TAG}\n123\n9.99E+14\n`, [3, 4]],
    [
      'weights',
      `tag,kg,date\n${TAG},30,2026-08-24\n${TAG},x,2026-08-25\n${TAG},31,24.08.2026\n`,
      [3, 4],
    ],
    [
      'treatments',
      `product,given,days,mob\nDrench,2026-09-01,7,Top\nDrench,2026-09-40,,\n`,
      [3, 3, 3],
    ],
  ])('%s: every wrong row is named, and nothing is taken', async (kind, text, lines) => {
    const d = await desk();
    for (const how of ['check', 'save']) {
      const { body } = await d.post(`/api/lists/${how}`, { kind, file: 'x.csv', text });
      expect((body['errors'] as { line: number }[]).map(({ line }) => line)).toEqual(lines);
    }
    expect(d.changes).toEqual([]);
  });

  test('a tag list stands beside the plans; one that the plan in use names is in use at once', async () => {
    const d = await desk();
    const list = { kind: 'tags', file: 'keep.csv', text: `${TAG}\n` };
    await d.post('/api/lists/save', list);
    expect(d.last()).toEqual({
      files: [{ path: 'plans/keep.csv', text: `tag,farm\n${TAG},\n` }],
      use: null,
      weights: [],
    });
    d.write();
    await d.post('/api/plans/save', { name: null, plan: tagged, use: true });
    d.write();
    expect(d.last().use?.lists).toEqual([{ file: 'keep.csv', tags: [{ tag: TAG, farm: null }] }]);
    await d.post('/api/lists/save', { ...list, text: `${TAG}\n999000000000002\n` });
    expect(d.last().use?.lists[0]?.tags).toHaveLength(2);
    expect(await d.get('/api/lists')).toEqual({ lists: [{ file: 'keep.csv', usedBy: ['draft'] }] });
  });

  test('earlier weights go to the day book, by day', async () => {
    const d = await desk();
    const text = `tag;kg;date\n${TAG};30,5;2026-08-24\n`;
    await d.post('/api/lists/save', { kind: 'weights', file: 'w.csv', text });
    expect(d.last()).toEqual({
      files: [],
      use: null,
      weights: [{ tag: TAG, kg: 30.5, day: '2026-08-24' }],
    });
  });

  test('a long list is taken, a body without end is not', async () => {
    const d = await desk();
    const tags = Array.from({ length: 5000 }, (_, n) => `999${String(n).padStart(12, '0')}`);
    const list = { kind: 'tags', file: 'keep.csv', text: tags.join('\n') };
    expect((await d.post('/api/lists/save', list)).body).toMatchObject({ saved: true });
    const { status } = await d.post('/api/lists/check', { ...list, text: 'x'.repeat(7 << 20) });
    expect(status).toBe(413);
  });
});

describe('treatments', () => {
  const dose = {
    ...{ product: 'Drench', given: '2026-09-01', days: '14', batch: 'B7', use: 'label' },
    ...{ tags: '', mob: '', colour: '' },
  };

  test.each([
    ['tags', { tags: `${TAG}, 999000000000002` }, [[TAG], ['999000000000002']]],
    ['a whole mob', { mob: 'Top field' }, [[]]],
    ['a colour mark', { mob: 'Top field', colour: 'blue' }, [[]]],
  ])('given to %s: in the record and in use, with the free day', async (_, to, tags) => {
    const d = await desk();
    await d.post('/api/treatments/add', { ...dose, ...to });
    expect(d.last().files.map(({ path }) => path)).toEqual(['treatments.csv']);
    expect(d.last().use?.treatments.map((one) => one.tags)).toEqual(tags);
    d.write();
    const shown = (await d.get('/api/treatments')) as { treatments: object[] };
    expect(shown.treatments).toMatchObject([
      { product: 'Drench', freeOn: '2026-09-16', open: true, tags: tags.flat().length },
    ]);
  });

  test('what is wrong is said, and nothing is handed over', async () => {
    const d = await desk();
    const { body } = await d.post('/api/treatments/add', {
      ...dose,
      given: '2026-09-20',
      days: 'a week',
    });
    expect(body['errors']).toEqual([
      '2026-09-20 has not come yet. Correct the day.',
      expect.stringContaining('"a week" is no period'),
      'given to nobody. Fill in tag, mob or colour.',
    ]);
    expect(d.changes).toEqual([]);
  });

  test('a correction lifts the hold and keeps what stood there, by whom and why', async () => {
    const d = await desk();
    await d.post('/api/treatments/add', { ...dose, tags: TAG });
    d.write();
    await d.post('/api/treatments/add', { ...dose, product: 'Dip', mob: 'Top field' });
    d.write();
    const { record } = (await d.get('/api/treatments')) as { record: string };
    const right = { given: '2026-09-01', days: '7' };
    const stale = await d.post('/api/treatments/correct', {
      record: 'x',
      at: 0,
      right,
      why: 'label',
    });
    expect(stale.body['reason']).toContain('look again');
    await d.post('/api/treatments/correct', { record, at: 0, right, why: 'misread the label' });
    d.write();
    expect(d.last().use?.treatments).toMatchObject([
      { product: 'Dip' },
      { product: 'Drench', days: 7 },
    ]);
    const after = (await d.get('/api/treatments')) as { record: string; treatments: object[] };
    expect(after.treatments).toMatchObject([{ open: true }, { freeOn: '2026-09-09', open: false }]);
    await d.post('/api/treatments/correct', {
      record: after.record,
      at: 1,
      right: null,
      why: 'other lamb',
    });
    d.write();
    await d.post('/api/treatments/correct', {
      ...{ at: 0, right: null, why: 'never' },
      record: ((await d.get('/api/treatments')) as { record: string }).record,
    });
    d.write();
    expect(await d.get('/api/treatments')).toMatchObject({ treatments: [] });
    const kept = readFileSync(join(d.siteDir, 'treatments-corrected.csv'), 'utf8').split('\n');
    expect(kept[1]).toBe(
      `Drench,2026-09-01,14,B7,label,${TAG},,,2026-09-14,phone 1,misread the label,`,
    );
    expect(kept.filter((line) => line !== '')).toHaveLength(4);
    expect(existsSync(join(d.siteDir, 'treatments.csv'))).toBe(true);
  });
});
