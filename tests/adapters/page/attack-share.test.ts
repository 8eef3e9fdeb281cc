/** A link that shows one farm's sheet, and nothing else: rows of `docs/security.md`. */
import { expect, test } from 'vitest';
import { setPin } from '../../../src/adapters/page/secrets.ts';
import { letGo, session, writeRows } from '../records/example.ts';
import { newSite, OPERATOR, serve, type Served } from './served.ts';

const DAY = '2026-09-12';

async function shared(): Promise<{ served: Served; url: string; cookies: Record<string, string> }> {
  const siteDir = await newSite();
  writeRows(siteDir, [
    session('S1', { farm: 'Low Fold' }),
    session('S2', { farm: 'High Fold' }),
    letGo(1, { tag: '999000000000123' }),
    letGo(2, { session: 'S2', tag: '999000000000456' }),
  ]);
  const served = await serve({ siteDir, openLooking: false });
  const cookies = await served.signIn(OPERATOR);
  const made = await served.inject({
    method: 'POST',
    url: '/api/book/share',
    payload: { day: DAY, farm: 'Low Fold' },
    cookies,
  });
  const { text, size, path } = made.json<{ text: string; size: number; path: string }>();
  expect(text).toMatch(/^http:\/\/192\.0\.2\.7:8080\/sheet\?of=[\w-]+\.[\w-]+$/);
  expect(size).toBeGreaterThan(29);
  expect(path).toMatch(/^M4 4h1v1h-1z/);
  return { served, url: text.slice('http://192.0.2.7:8080'.length), cookies };
}

test('a link to a sheet shows that farm and day to a phone that is not signed in, and opens nothing else', async () => {
  const { served, url } = await shared();
  const sheet = await served.inject({ url });
  expect(sheet.statusCode).toBe(200);
  expect(sheet.body).toContain('999000000000123');
  expect(sheet.body).not.toContain('999000000000456');
  expect(String(sheet.headers['content-security-policy'])).toContain("default-src 'none'");
  expect(sheet.headers['cache-control']).toBe('no-store');
  expect(sheet.headers['set-cookie']).toBeUndefined();
  for (const other of ['/api/book', '/api/now', '/api/book/sheet?day=2026-09-12&farm=High+Fold']) {
    expect((await served.inject({ url: other })).statusCode, other).toBe(401);
  }
  expect((await served.inject({ url: `${url}&farm=High+Fold` })).body).not.toContain('456');
  const post = await served.inject({ method: 'POST', url: '/api/book/share', payload: {} });
  expect(post.statusCode).toBe(401);
});

test('a link to a sheet that was changed, has expired, or is older than the PIN shows nothing', async () => {
  const { served, url } = await shared();
  const [payload = '', signature = ''] = url.slice('/sheet?of='.length).split('.');
  const other = Buffer.from(payload, 'base64url').toString().replace('Low Fold', 'High Fold');
  const forged = Buffer.from(other).toString('base64url');
  for (const of of [`${forged}.${signature}`, payload, `${payload}.`, '', '.', `${url}x`]) {
    const answer = await served.inject({ url: `/sheet?of=${encodeURIComponent(of)}` });
    expect([answer.statusCode, answer.body], of).toEqual([410, expect.stringContaining('link')]);
  }
  served.time.wall += 72 * 3_600_000 - 1;
  expect((await served.inject({ url })).statusCode).toBe(200);
  served.time.wall += 1;
  expect((await served.inject({ url })).statusCode).toBe(410);
  served.time.wall -= 3_600_000;
  await setPin(served.siteDir, 'operator', '11223344');
  expect((await served.inject({ url })).statusCode).toBe(410);
});
