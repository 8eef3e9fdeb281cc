import { existsSync, mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { bookCsv } from '../../../src/adapters/records/csv.ts';
import { readDay } from '../../../src/adapters/records/day-book.ts';
import { lastWeights } from '../../../src/adapters/records/last-weights.ts';
import { openForReading } from '../../../src/adapters/records/reader.ts';
import { writeSiteFiles } from '../../../src/adapters/records/site-files.ts';
import { newPlan, planVersion } from '../../../src/config/plan.ts';
import { crossing, recordsOf, siteFolder, wall } from './example.ts';

const first = newPlan(['left', 'ahead', 'right']);
const second = { ...first, name: 'Later', decide: { ...first.decide, hysteresisKg: 0.5 } };
const kept = (plan: typeof first) => ({
  name: plan.name,
  hash: planVersion(plan),
  resolved: plan,
});
const tag = '999000000000123';

test('each crossing points at the exact plan that decided it, also after a change within a session', async () => {
  const siteDir = siteFolder();
  const records = recordsOf(siteDir);
  await records.ready;
  const said = { farm: null, holding: null, flockMark: null, mob: null, field: null };
  const session = { id: 'S1', plan: kept(first), divisionKg: 0.1, ...said, who: null };
  records.session({ ...session, hoursOffFeed: null, fleece: null }, wall(0));
  records.crossing(crossing(1), 'S1', false, wall(1000));
  records.plan('S1', kept(second), wall(2000));
  records.crossing(crossing(2), 'S1', false, wall(3000));
  records.plan('S1', kept(first), wall(4000));
  records.crossing(crossing(3), 'S1', false, wall(5000));
  records.crossing(crossing(1), 'S2', false, wall(6000));
  await records.close();
  const db = openForReading(siteDir);
  const book = readDay(db, null);
  const hashes = book?.rows.map((row) => row.plan?.hash ?? null);
  // The last is of a session that nobody described: the plan that was told last is in force.
  const [one, other] = [planVersion(first), planVersion(second)];
  expect(hashes).toEqual([one, other, one, one]);
  const resolved = db.prepare('SELECT resolved FROM plan ORDER BY n').pluck().all() as string[];
  expect(resolved.map((text) => JSON.parse(text) as unknown)).toEqual([first, second]);
  if (book === null) throw new Error('no day');
  const lines = bookCsv(book).split('\n');
  expect(lines[0]).toContain(',plan,planVersion,');
  expect(lines[2]).toContain(`,Later,${planVersion(second).slice(0, 12)},`);
  db.close();
});

test('marks stand in the row and in the export', async () => {
  const siteDir = siteFolder();
  const records = recordsOf(siteDir);
  const marks = [
    { name: 'condition', value: 3.5 },
    { name: 'lame', value: true },
  ];
  records.crossing(crossing(1, { marks }), 'S1', false, wall(1000));
  await records.close();
  const db = openForReading(siteDir);
  const book = readDay(db, null);
  expect(book?.rows[0]?.marks).toEqual(marks);
  if (book !== null) expect(bookCsv(book)).toContain('condition: 3.5; lame: true');
  db.close();
});

test('earlier weights from a list are known at the next start, two days of them at the most', async () => {
  const siteDir = siteFolder();
  const records = recordsOf(siteDir);
  await records.ready;
  const days = ['2026-08-01', '2026-08-15', '2026-09-01'];
  const weights = days.map((day, at) => ({ tag, farm: null, day, kg: 30 + at }));
  records.earlierWeights(weights, wall(0));
  records.earlierWeights([{ tag, farm: null, day: '2026-09-01', kg: 32.5 }], wall(1));
  await records.close();
  let db = openForReading(siteDir);
  expect(lastWeights(db)).toEqual([
    { tag, farm: null, day: '2026-09-01', kg: 32.5 },
    { tag, farm: null, day: '2026-08-15', kg: 31 },
  ]);
  db.close();
  const again = recordsOf(siteDir);
  again.crossing(crossing(1, { tag, recordedKg: 36.2 }), 'S1', false, wall(1000));
  again.crossing(crossing(2, { tag, recordedKg: 36.3, unsure: true }), 'S1', false, wall(2000));
  await again.close();
  db = openForReading(siteDir);
  expect(lastWeights(db)).toEqual([
    { tag, farm: null, day: '2026-09-12', kg: 36.2 },
    { tag, farm: null, day: '2026-09-01', kg: 32.5 },
  ]);
  db.close();
});

test('files of the site are written whole, all or none, and no others', async () => {
  const siteDir = siteFolder();
  const records = recordsOf(siteDir);
  await records.ready;
  const plan = { path: 'plans/draft.yaml', text: 'plan: 1\n' };
  expect(await records.files([plan, { path: 'treatments.csv', text: 'product\n' }])).toBeNull();
  expect(readFileSync(join(siteDir, 'plans/draft.yaml'), 'utf8')).toBe('plan: 1\n');
  for (const path of ['../site.yaml', 'plans/../fank.db', 'fank.db', 'secrets.json', '/etc/passwd'])
    expect(await records.files([{ path, text: '' }])).toContain('is no file of a site');
  await records.close();
  mkdirSync(join(siteDir, 'site.yaml.new'));
  writeFileSync(join(siteDir, 'site.yaml'), 'old\n');
  const changed = { ...plan, text: 'plan: 2\n' };
  const fresh = { path: 'plans/fresh.yaml', text: 'plan: 1\n' };
  const broken = { path: 'site.yaml', text: 'new\n' };
  expect(writeSiteFiles(siteDir, [changed, fresh, broken])).toContain('site.yaml');
  expect(existsSync(join(siteDir, 'plans/fresh.yaml'))).toBe(false);
  expect(readFileSync(join(siteDir, 'plans/draft.yaml'), 'utf8')).toBe('plan: 1\n');
});
