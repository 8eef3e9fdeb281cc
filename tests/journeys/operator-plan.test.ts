/// <reference lib="dom" />
/** The place Plan at phone size: cuts dragged over a past session, lists, treatments, marks. */
import { mkdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Browser, BrowserContext, Locator, Page as Tab } from 'playwright-core';
import { parse } from 'yaml';
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, test } from 'vitest';
import type { Snapshot } from '../../src/adapters/page/messages.ts';
import { BOOK_MODULE } from '../../src/adapters/records/port.ts';
import { openForWriting } from '../../src/adapters/records/schema.ts';
import { writeSiteFiles } from '../../src/adapters/records/site-files.ts';
import { openStore } from '../../src/adapters/records/store.ts';
import type { SiteChange } from '../../src/config/site-change.ts';
import { makeSite } from '../../src/config/starting-site.ts';
import { createRandom } from '../../simulator/random.ts';
import { letGo, session } from '../adapters/records/example.ts';
import { layout } from '../adapters/page/sample.ts';
import { axe, tooSmallOrWide } from './looks.ts';
import { buildPage, DECIDED, openBrowser, openPen, phone, signIn, soon, type Pen } from './pen.ts';

const DAY = 86_400_000;
const HEAD = 120;
/** Where pictures are put, for looking at. */
const SHOTS = process.env['FANK_SHOTS'];

let browser: Browser;
let pen: Pen;
let context: BrowserContext;
const changes: SiteChange[] = [];

beforeAll(async () => {
  browser = await openBrowser();
  pen = await openPlanPen(false);
}, 120_000);
afterAll(async () => {
  await browser.close();
  await pen.close();
}, 90_000);
beforeEach(() => {
  // Each journey finds the site as it was made; the day book is only read.
  for (const made of ['plans', 'site.yaml', 'treatments.csv', 'treatments-corrected.csv'])
    rmSync(join(pen.siteDir, made), { recursive: true, force: true });
  makeSite(pen.siteDir);
  changes.length = 0;
  pen.reset();
});
afterEach(async () => {
  await context.close();
}, 90_000);

/** Ten in the morning of yesterday. */
const YESTERDAY = Math.floor(Date.now() / DAY) * DAY - DAY + 36_000_000;

/** A day book with one session of yesterday: lambs of 30 to 52 kg. */
function fillBook(dir: string): void {
  const db = openForWriting(dir, 'Europe/London');
  const store = openStore(db, 'Europe/London', 'test');
  const random = createRandom(11);
  const rows = Array.from({ length: HEAD }, (_, at) => {
    const kg = Math.round((41 + random.normal() * 4) * 100) / 100;
    const when = { atMs: YESTERDAY + at * 12_000, clockSet: true };
    return letGo(at + 1, { session: 'S1', recordedKg: kg, reason: `${String(kg)} kg` }, when);
  });
  // One that was short, before it.
  const few = Array.from({ length: 29 }, (_, at) => {
    const when = { atMs: YESTERDAY - 600_000 + at * 12_000, clockSet: true };
    return letGo(at + 1, { session: 'S0', recordedKg: 30 + at / 2 }, when);
  });
  store.write([session('S0'), ...few, session('S1'), ...rows]);
  db.close();
}

async function openPlanPen(pseudo: boolean): Promise<Pen> {
  const opened = await openPen(await buildPage(pseudo), { bookModule: BOOK_MODULE });
  const { siteDir } = opened;
  makeSite(siteDir);
  fillBook(siteDir);
  opened.page.onChange((change) => {
    changes.push(change);
    const reason = writeSiteFiles(siteDir, change.files);
    return Promise.resolve(reason === null ? { ok: true } : { ok: false, reason });
  });
  return opened;
}

async function open(look: 'sun' | 'night' = 'sun', on = pen): Promise<Tab> {
  context = await phone(browser, look);
  const tab = await context.newPage();
  await tab.goto(on.url);
  return tab;
}

async function openPlan(tab: Tab): Promise<void> {
  await signIn(tab);
  await tab.getByRole('button', { name: 'Menu' }).tap();
  await tab.getByRole('button', { name: 'Plan', exact: true }).tap();
  await tab.getByTestId('heads').waitFor();
}

async function shot(tab: Tab, name: string): Promise<void> {
  if (SHOTS === undefined) return;
  mkdirSync(SHOTS, { recursive: true });
  await tab.screenshot({ path: join(SHOTS, `${name}.png`) });
}

const part = (tab: Tab, name: string) => tab.locator('.parts').getByRole('button', { name });
/** A field by the words over it; what a choice offers is in its label too, for `getByLabel`. */
const field = (where: Locator, name: string) =>
  where
    .locator('.field', { has: where.page().getByText(name, { exact: true }) })
    .locator('select, input');
const heads = (tab: Tab) => tab.getByTestId('heads').locator('span').allInnerTexts();
const count = (text: string | undefined) => Number.parseInt(text ?? '', 10);

test('a cut is dragged, head per lot follows, what would change is said, it is saved and used', async () => {
  const tab = await open();
  await openPlan(tab);
  const before = (await heads(tab)).map(count);
  expect(before.reduce((sum, one) => sum + one, 0)).toBe(HEAD);
  await soon(() => tab.getByTestId('what-would').innerText()).toContain(`All ${String(HEAD)} head`);
  const offered = field(tab.locator('.plan'), 'Weights of').locator('option');
  expect(await offered.count()).toBe(2);
  // The session that is on: not with 29 head, but with 30 and more.
  pen.show({ session: 'S0' });
  await soon(() => offered.count()).toBe(1);
  pen.show({ session: 'S1' });
  await soon(() => offered.allInnerTexts()).toContain('this session');
  await shot(tab, 'plan-sun');
  const handle = tab.getByRole('slider').first();
  const box = await handle.locator('.around').boundingBox();
  const svg = await tab.locator('.histogram svg').boundingBox();
  if (box === null || svg === null) throw new Error('no histogram');
  const from = { x: box.x + box.width / 2, y: box.y + box.height / 2 };
  await tab.mouse.move(from.x, from.y);
  await tab.mouse.down();
  for (let step = 1; step <= 5; step += 1) await tab.mouse.move(from.x - step * 6, from.y);
  const during = (await heads(tab)).map(count);
  await tab.mouse.up();
  expect(during[0]).toBeLessThan(before[0] ?? 0);
  expect(during[1]).toBeGreaterThan(before[1] ?? 0);
  expect(during.reduce((sum, one) => sum + one, 0)).toBe(HEAD);
  const moved = (before[0] ?? 0) - (during[0] ?? 0);
  await soon(() => tab.getByTestId('what-would').innerText()).toContain(
    `${String(moved)} head: Stores → Fit`,
  );
  await shot(tab, 'plan-dragged');
  expect(changes).toEqual([]);
  await tab.getByRole('button', { name: 'Save', exact: true }).tap();
  await soon(() => tab.getByTestId('plan-says').innerText()).toBe('Saved.');
  const lots = changes[0]?.use?.plan.lots ?? [];
  expect(lots[0]?.belowKg).toBeLessThan(40);
  expect(readFileSync(join(pen.siteDir, 'plans/by-weight.yaml'), 'utf8')).toContain(
    '# outside: not of this mob',
  );
});

test('what is wrong stands beside its field, and cannot be saved; a copy is used after a look', async () => {
  const tab = await open();
  await openPlan(tab);
  await tab.getByRole('button', { name: 'Copy' }).tap();
  const fit = tab.locator('[data-lot=Fit]');
  await fit.getByLabel('Below, kg').fill('39');
  await soon(() => fit.locator('.wrong').innerText()).toContain('Stores');
  await shot(tab, 'plan-wrong');
  await expect
    .poll(() => tab.getByRole('button', { name: 'Save', exact: true }).isDisabled())
    .toBe(true);
  await fit.getByLabel('Below, kg').fill('44,5');
  await soon(() => tab.locator('.wrong').count()).toBe(0);
  await tab.getByRole('button', { name: 'Use this plan' }).tap();
  expect(changes).toEqual([]);
  await tab.getByRole('button', { name: 'Save and use it now' }).tap();
  await soon(() => changes.length).toBe(1);
  expect(changes[0]?.files.map(({ path }) => path)).toEqual([
    'plans/by-weight-copy.yaml',
    'site.yaml',
  ]);
  expect(changes[0]?.use?.plan.lots[1]?.belowKg).toBe(44.5);
  await soon(() => tab.locator('.plan select').first().inputValue()).toBe('by-weight-copy');
});

test.each(['weigh-only', 'sort-only', 'count-only'])(
  'the kind of work %s is picked, mended and saved',
  async (kind) => {
    const tab = await open();
    await openPlan(tab);
    await tab.getByRole('button', { name: 'Copy' }).tap();
    await tab.getByLabel('Kind of work').selectOption(kind);
    if (kind === 'sort-only') {
      await soon(() => tab.locator('.wrong').allInnerTexts()).toContainEqual(
        expect.stringContaining('sort-only needs exactly one lot') as string,
      );
      for (const name of ['Fit', 'Heavy']) {
        await tab
          .locator(`[data-lot=${name}]`)
          .getByRole('button', { name: 'More', exact: true })
          .tap();
        await tab
          .locator(`[data-lot=${name}]`)
          .getByRole('button', { name: 'Not by weight' })
          .tap();
      }
      await tab.locator('[data-lot=Stores]').getByLabel('Below, kg').fill('');
    }
    await soon(() => tab.locator('.wrong').allInnerTexts()).toEqual([]);
    await tab.getByRole('button', { name: 'Save', exact: true }).tap();
    await soon(() => changes.length).toBe(1);
    expect(changes[0]?.files[0]?.text).toContain(`work: ${kind}`);
  },
);

/** Says all that a plan can say. */
const EVERYTHING = `# kept by hand
plan: 1
name: All of it
mob: Twins
animals: { fromKg: 12, toKg: 65 } # lambs
lots:
  - { name: Stores, exit: left, belowKg: 40, mark: red }
  - { name: Fit, exit: ahead, belowKg: 45, forSlaughter: true, killOn: 2026-12-01, capacity: 60, whenFull: { overflow: Heavy }, splitWith: [Spare] }
  - { name: Heavy, exit: right, forSlaughter: true }
  - { name: Spare, exit: ahead, forSlaughter: true, aside: true }
decide: { hysteresisKg: 0.3, settle: { withinKg: 0.5, forMs: 1000 }, confidence: 0.995, callAfterMs: 5000 }
unsure: { lot: Stores }
tags: { lists: [], withdrawal: { lot: Stores }, unread: { exit: left } }
gain: { leastDays: 14, rules: [{ belowGramsPerDay: 100, lot: Stores }, { fromGramsPerDay: 300, lot: Heavy }] }
marks:
  offer: [condition, lame]
  rules:
    - { when: [{ mark: lame }, { mark: keep, is: false }], lot: Stores }
    - { when: [{ mark: condition, from: 3, to: 4.5 }], fromKg: 38, belowKg: 40, lot: Fit }
    - { when: [{ mark: colour, is: green }], lot: Spare }
allowUnsureToSlaughter: true # each one is looked at
`;

test('all that a plan can say is shown, and what is not changed stays as it was written', async () => {
  const file = join(pen.siteDir, 'plans/all.yaml');
  writeFileSync(file, EVERYTHING);
  const tab = await open();
  await openPlan(tab);
  await tab.locator('.plan select').first().selectOption('all');
  await soon(() => tab.getByLabel('Last weighed at least').inputValue()).toBe('14');
  await soon(() => tab.locator('.wrong').count()).toBe(0);
  const rule = (of: string, at: number) => tab.locator(`[data-rules=${of}] [data-rule="${at}"]`);
  expect(await rule('marks', 0).locator('select').nth(3).inputValue()).toBe('not');
  expect(await field(rule('marks', 1), 'At most').inputValue()).toBe('4.5');
  expect(await rule('marks', 2).locator('input').first().inputValue()).toBe('green');
  await tab.locator('[data-lot=Stores]').getByLabel('Below, kg').fill('39.5');
  await rule('gain', 1).getByRole('button', { name: 'Move up' }).tap();
  await rule('gain', 0).getByLabel('From, g a day').fill('320');
  await tab.getByRole('button', { name: 'Save', exact: true }).tap();
  await soon(() => tab.getByTestId('plan-says').innerText()).toBe('Saved.');
  const stays = (text: string): string[] =>
    text.split('\n').filter((line) => !/^gain|belowKg: (40|39.5), mark/.test(line));
  const saved = readFileSync(file, 'utf8');
  const values = (text: string): unknown => parse(text);
  expect(stays(saved).filter((line) => line.includes('#'))).toEqual(
    stays(EVERYTHING).filter((line) => line.includes('#')),
  );
  expect(values(saved)).toEqual(
    values(
      EVERYTHING.replace('belowKg: 40, mark', 'belowKg: 39.5, mark').replace(
        '[{ belowGramsPerDay: 100, lot: Stores }, { fromGramsPerDay: 300, lot: Heavy }]',
        '[{ fromGramsPerDay: 320, lot: Heavy }, { belowGramsPerDay: 100, lot: Stores }]',
      ),
    ),
  );
});

test('rules by mark and by daily gain are made on the page, checked, and follow a lot that is renamed', async () => {
  const tab = await open();
  await openPlan(tab);
  const marks = tab.locator('[data-rules=marks]');
  await marks.getByRole('button', { name: 'Condition' }).tap();
  await marks.getByRole('button', { name: 'One more rule' }).tap();
  await field(marks, 'Is').selectOption('range');
  await field(marks, 'At least').selectOption('3.5');
  await field(marks, 'At most').selectOption('2');
  await soon(() => marks.locator('.wrong').innerText()).toContain('no condition is from 3.5 to 2');
  await field(marks, 'At most').selectOption('');
  await marks.getByLabel('From, kg').fill('38');
  await marks.getByRole('button', { name: 'And also' }).tap();
  await field(marks, 'Mark').nth(1).selectOption('sex');
  await field(marks, 'Is').nth(1).selectOption('is castrated');
  await field(marks, 'Goes').selectOption('Fit');
  const gain = tab.locator('[data-rules=gain]');
  await gain.getByRole('button', { name: 'Sort by daily gain too' }).tap();
  await gain.getByLabel('Below, g a day').fill('');
  await soon(() => gain.locator('.wrong').innerText()).toContain('a limit');
  await shot(tab, 'plan-gain-wrong');
  await gain.getByLabel('Below, g a day').fill('120');
  await tab.locator('[data-lot=Fit]').getByLabel('Lot', { exact: true }).fill('Ready');
  await tab.locator('[data-rules=decide]').getByRole('button', { name: 'stands still' }).tap();
  await tab.locator('[data-rules=decide]').getByLabel('Sure to, %').fill('99');
  await soon(() => tab.locator('.wrong').count()).toBe(0);
  await tab.getByRole('button', { name: 'Save', exact: true }).tap();
  await soon(() => changes.length).toBe(1);
  const plan = changes[0]?.use?.plan;
  expect(plan?.marks).toEqual({
    offer: ['condition'],
    rules: [
      {
        when: [
          { mark: 'condition', from: 3.5 },
          { mark: 'sex', is: 'castrated' },
        ],
        fromKg: 38,
        lot: 'Ready',
      },
    ],
  });
  expect(plan?.gain).toEqual({
    leastDays: 14,
    rules: [{ belowGramsPerDay: 120, lot: 'Stores' }],
  });
  expect(plan?.decide).toMatchObject({ confidence: 0.99 });
  expect(plan?.decide.settle).toBeUndefined();
});

test('a list with wrong rows is refused row by row; the right one is looked at, then taken whole', async () => {
  const tab = await open();
  await openPlan(tab);
  await part(tab, 'Lists').tap();
  await tab.getByLabel('Or paste it here').fill('tag\n999000000000001\n12\n9.99E+14\n');
  await tab.getByRole('button', { name: 'Look at it first' }).tap();
  await soon(() => tab.getByTestId('row-errors').locator('li').allInnerTexts()).toEqual([
    expect.stringMatching(/^Row 3/) as string,
    expect.stringMatching(/^Row 4/) as string,
  ]);
  await shot(tab, 'lists-wrong');
  const file = {
    name: 'keep.csv',
    mimeType: 'text/csv',
    buffer: Buffer.from('tag\n999000000000001\n'),
  };
  await tab.locator('input[type=file]').setInputFiles(file);
  // Read by the browser in its own time.
  await soon(() => tab.getByLabel('Or paste it here').inputValue()).toBe('tag\n999000000000001\n');
  await tab.getByRole('button', { name: 'Look at it first' }).tap();
  await soon(() => tab.getByTestId('preview').innerText()).toContain('1 row');
  await shot(tab, 'lists-preview');
  expect(changes).toEqual([]);
  await tab.getByRole('button', { name: 'Take all of it' }).tap();
  await soon(() => tab.getByTestId('list-says').innerText()).toBe('Saved.');
  await soon(() => tab.locator('.rows').innerText()).toContain('keep-back.csv');
  await tab.getByLabel('What is in it').selectOption('weights');
  await tab.getByLabel('Or paste it here').fill('tag,kg,date\n999000000000001,30.5,2026-08-24\n');
  await tab.getByRole('button', { name: 'Look at it first' }).tap();
  await tab.getByRole('button', { name: 'Take all of it' }).tap();
  await soon(() => changes.at(-1)?.weights).toEqual([
    { tag: '999000000000001', day: '2026-08-24', kg: 30.5 },
  ]);
});

test('a treatment is added to the record, holds, and is put right with a reason', async () => {
  const tab = await open();
  await openPlan(tab);
  await part(tab, 'Treatments').tap();
  const today = new Date(Date.now() - 12 * 3_600_000).toISOString().slice(0, 10);
  await tab.getByLabel('Product').fill('Drench');
  await tab.getByLabel('Last dose on').fill(today);
  await tab.getByRole('button', { name: 'Add to the record' }).tap();
  await soon(() => tab.getByTestId('treatment-errors').innerText()).toContain('given to nobody');
  await tab.getByLabel('Withdrawal for meat, days').fill('14');
  await tab.getByLabel('Given to').selectOption('mob');
  await tab.getByLabel('Mob', { exact: true }).fill('Top field');
  await shot(tab, 'treatments-form');
  await tab.getByRole('button', { name: 'Add to the record' }).tap();
  const row = tab.locator('[data-treatment=Drench]');
  await soon(() => row.innerText()).toContain('Held. Free on');
  expect(changes.at(-1)?.use?.treatments).toMatchObject([{ product: 'Drench', mob: 'Top field' }]);
  await row.getByRole('button', { name: 'Correct' }).tap();
  await expect
    .poll(() => row.getByRole('button', { name: 'Was never given' }).isDisabled())
    .toBe(true);
  await row.getByLabel('Why').fill('another mob');
  await shot(tab, 'treatments-correct');
  await row.getByRole('button', { name: 'Was never given' }).tap();
  await soon(() => tab.locator('.plan').innerText()).toContain('No treatments on record');
  expect(changes.at(-1)?.use?.treatments).toEqual([]);
});

const ON_RACE: Record<string, Partial<Snapshot>> = {
  marks: {
    ...DECIDED,
    animal: {
      number: 37,
      tag: '999000000001337',
      marks: [{ name: 'condition', value: 3.5 }],
      held: null,
    },
    filling: [{ lot: 'Fit', left: 5 }],
    decision: { ...DECIDED.decision, spray: 'red' } as NonNullable<Snapshot['decision']>,
  },
  held: {
    ...DECIDED,
    letGo: 'left',
    animal: {
      number: 38,
      tag: '999000000001338',
      marks: [],
      held: 'still in withdrawal, free on 2026-09-20',
    },
    decision: {
      lot: 'Stores',
      exit: 'left',
      rule: 'withdrawal',
      reason: 'still in withdrawal, free on 2026-09-20: Stores',
      spray: null,
    },
    refused:
      'Not to Heavy (for slaughter): still in withdrawal, free on 2026-09-20. Name another exit; only a correction to the medicine record lifts this.',
  },
  full: {
    ...DECIDED,
    letGo: null,
    asks: ['full', 'tags'],
    filling: [{ lot: 'Fit', left: 0 }],
    decision: {
      lot: 'Fit',
      exit: null,
      rule: 'overflow',
      reason: 'Fit is full: hold and ask',
      spray: null,
    },
  },
};

test('marks are given for the animal that is seen, taken away again, and asked questions are answered', async () => {
  const tab = await open();
  pen.page.describe({ ...layout, marks: ['condition', 'lame', 'rearing'] });
  await signIn(tab);
  pen.show(ON_RACE['marks'] ?? {});
  await tab.locator('.marks').waitFor();
  expect(await tab.getByTestId('filling').innerText()).toBe('Five places left in Fit');
  expect(await tab.getByTestId('spray').innerText()).toBe('Spray red');
  const dock = await tab.locator('.dock').boundingBox();
  for (const seen of ['spray', 'going']) {
    const box = await tab.getByTestId(seen).boundingBox();
    expect((box?.y ?? 1e9) + (box?.height ?? 0), seen).toBeLessThanOrEqual((dock?.y ?? 0) + 1);
  }
  await tab.getByRole('button', { name: 'Lame' }).tap();
  await tab.getByRole('button', { name: /Condition/ }).tap();
  await shot(tab, 'race-marks');
  await tab.locator('.values').getByRole('button', { name: '4', exact: true }).tap();
  await soon(() => pen.commands.map(({ command }) => command)).toEqual([
    { do: 'mark', mark: { name: 'lame', value: true }, animal: 37 },
    { do: 'mark', mark: { name: 'condition', value: 4 }, animal: 37 },
  ]);
  pen.show(ON_RACE['held'] ?? {});
  await soon(() => tab.getByTestId('held').innerText()).toContain('free on 2026-09-20');
  await shot(tab, 'race-held');
  pen.show(ON_RACE['full'] ?? {});
  await tab.getByTestId('ask-full').waitFor();
  await shot(tab, 'race-full');
  await tab.getByRole('button', { name: 'Carry on without tags' }).tap();
  await soon(() => pen.commands.at(-1)?.command).toEqual({
    do: 'answer',
    answer: 'carry-on-without-tags',
  });
});

async function wellMade(tab: Tab, name: string): Promise<number> {
  const { wrong, passed } = await axe(tab);
  expect(wrong, name).toEqual([]);
  expect(await tooSmallOrWide(tab), name).toEqual([]);
  return passed;
}

describe.each(['sun', 'night'] as const)('in the look %s', (look) => {
  test('axe finds nothing on the plan, its lists, its treatments and the new parts of the race', async () => {
    const tab = await open(look);
    pen.page.describe({ ...layout, marks: ['condition', 'lame', 'rearing'] });
    let passed = 0;
    await openPlan(tab);
    for (const more of await tab.getByRole('button', { name: 'More', exact: true }).all())
      await more.tap();
    await tab.getByRole('button', { name: 'Sort by tags too' }).tap();
    passed += await wellMade(tab, 'plan');
    await shot(tab, `plan-${look}-open`);
    for (const name of ['Lists', 'Treatments']) {
      await part(tab, name).tap();
      passed += await wellMade(tab, name);
      await shot(tab, `${name.toLowerCase()}-${look}`);
    }
    await tab.getByRole('button', { name: 'Menu' }).tap();
    await tab.getByRole('button', { name: 'Race', exact: true }).tap();
    for (const [name, state] of Object.entries(ON_RACE)) {
      pen.show(state);
      await tab.waitForTimeout(400);
      passed += await wellMade(tab, name);
      await shot(tab, `race-${name}-${look}`);
    }
    console.log(`axe, ${look}: 0 violations on 6 screens, ${String(passed)} rules passed`);
  });
});

test('in long words from right to left nothing of the plan is cut off, and the weights still grow rightwards', async () => {
  const other = await openPlanPen(true);
  const tab = await open('sun', other);
  await tab.setViewportSize({ width: 360, height: 740 });
  await tab.locator('header button').last().tap();
  await tab.locator('[data-place=plan]').tap();
  await tab.getByTestId('heads').waitFor();
  for (const at of [0, 1, 2]) {
    await tab.locator('.parts button').nth(at).tap();
    await tab.waitForTimeout(200);
    await wellMade(tab, `part ${String(at)}`);
    await shot(tab, `pseudo-${String(at)}`);
  }
  await tab.locator('.parts button').first().tap();
  const [first, second] = await tab.getByRole('slider').all();
  const [light, heavy] = [await first?.boundingBox(), await second?.boundingBox()];
  expect(light?.x).toBeLessThan(heavy?.x ?? 0);
  await other.close();
});

test('the first use fetches none of it', async () => {
  const tab = await open();
  const loaded: string[] = [];
  tab.on('response', (response) => loaded.push(new URL(response.url()).pathname));
  await tab.reload();
  await tab.getByTestId('mode').waitFor();
  await tab.waitForTimeout(500);
  expect(loaded.filter((path) => path.includes('PlanScreen'))).toEqual([]);
  await openPlan(tab);
  expect(loaded.some((path) => /PlanScreen.*\.js$/.test(path))).toBe(true);
});
