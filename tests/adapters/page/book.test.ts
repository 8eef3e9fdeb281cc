import { expect, test } from 'vitest';
import { letGo, session, writeRows } from '../records/example.ts';
import { newSite, serve, type Served } from './served.ts';

const TAG = '999000000000123';

async function served(openLooking = true): Promise<Served> {
  const siteDir = await newSite();
  writeRows(siteDir, [
    session('S1', { farm: 'Low Fold' }),
    letGo(1, { tag: TAG }),
    letGo(2, { lot: '<b>Stores</b>', recordedKg: 35, reason: '=1+1' }),
  ]);
  return serve({ siteDir, openLooking });
}

test('the day book answers for the latest day and for one that is named', async () => {
  const day = await served();
  const latest = await day.inject({ url: '/api/book?killingOut=45&target=42' });
  expect(latest.json()).toMatchObject({ day: '2026-09-12', farm: 'Low Fold', target: { kg: 42 } });
  const lines = await day.inject({ url: '/api/book/animals?day=2026-09-12' });
  expect(lines.json()).toMatchObject([{ animal: 1, tag: TAG, kg: 41.5 }, { animal: 2 }]);
  expect((await day.inject({ url: '/api/book/days' })).json()).toEqual([
    { day: '2026-09-12', farms: ['Low Fold'] },
  ]);
  expect((await day.inject({ url: '/api/book/animal?ends=00123' })).json()).toMatchObject([
    { tag: TAG },
  ]);
  expect((await day.inject({ url: '/api/book?day=2020-01-01' })).statusCode).toBe(404);
});

test('what is not a question is refused, and nothing can be asked without a look', async () => {
  const day = await served();
  for (const url of [
    '/api/book?day=today',
    '/api/book?killingOut=100',
    '/api/book/animal?ends=%25',
    '/api/book/csv?separator=,&decimal=,',
    '/api/book/sheet?loaded=-1',
  ]) {
    expect((await day.inject({ url })).statusCode, url).toBe(400);
  }
  const shut = await served(false);
  for (const url of ['', '/days', '/animals', '/animal?ends=123', '/csv', '/icar', '/sheet']) {
    expect((await shut.inject({ url: `/api/book${url}` })).statusCode, url).toBe(401);
  }
});

test('one animal’s history is never of two farms', async () => {
  const siteDir = await newSite();
  writeRows(siteDir, [
    session('S1', { farm: 'Low Fold' }),
    letGo(1, { tag: TAG }),
    session('S2', { farm: 'High Fold' }),
    letGo(1, { session: 'S2', tag: TAG }),
  ]);
  const day = await serve({ siteDir });
  expect((await day.inject({ url: '/api/book/animal?ends=00123' })).statusCode).toBe(409);
  const low = await day.inject({ url: '/api/book/animal?ends=00123&farm=Low%20Fold' });
  expect(low.json<{ weights: unknown[] }[]>()[0]?.weights).toHaveLength(1);
});

test('csv and icar are files to keep', async () => {
  const day = await served();
  const csv = await day.inject({
    url: '/api/book/csv?separator=%3B&decimal=,&bom=yes&day=2026-09-12',
  });
  expect(csv.headers['content-disposition']).toBe('attachment; filename="fank-2026-09-12.csv"');
  expect(csv.body.startsWith('\uFEFFday;')).toBe(true);
  expect(csv.body).toContain("'=1+1");
  const icar = await day.inject({ url: '/api/book/icar' });
  expect(icar.json()).toMatchObject({ view: { totalItems: 2 } });
});

test('the lot sheet is a page of its own whose style alone may run, and holds no foreign markup', async () => {
  const day = await served();
  const sheet = await day.inject({
    url: '/api/book/sheet?lot=%3Cb%3EStores%3C/b%3E&to=%3Cscript%3E',
  });
  expect(sheet.headers['content-type']).toContain('text/html');
  expect(String(sheet.headers['content-security-policy'])).toMatch(
    /^default-src 'none'; style-src 'sha256-[A-Za-z0-9+/=]+'/,
  );
  expect(sheet.body).not.toMatch(/<script|<b>Stores/);
  expect((await day.inject({ url: '/api/book/sheet?lot=None' })).statusCode).toBe(409);
});

test('a site without a day book says so', async () => {
  const empty = await serve();
  const answer = await empty.inject({ url: '/api/book' });
  expect(answer.statusCode).toBe(404);
  expect(answer.json<{ reason: string }>().reason).toContain('there is no day book yet');
});
