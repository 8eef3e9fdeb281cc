import { expect, test } from 'vitest';
import { wall, writeRows } from '../records/example.ts';
import { newSite, OPERATOR, serve } from './served.ts';

const BODY = { massKg: 20, middleKg: 20.1, cornersKg: [20, 20.1, 20.1, 20.2] };

test('a check with a known mass needs a PIN, and is handed to the daemon as it was read', async () => {
  const served = await serve();
  const post = { method: 'POST', url: '/api/check-weight', payload: BODY } as const;
  expect((await served.inject(post)).statusCode).toBe(401);
  const cookies = await served.signIn(OPERATOR);
  expect((await served.inject({ ...post, cookies })).json()).toEqual({ ok: true });
  expect(served.changes).toEqual([
    { files: [], use: null, weights: [], check: { ...BODY, who: 'operator' } },
  ]);
  for (const wrong of [
    { ...BODY, massKg: 0 },
    { ...BODY, middleKg: 'much' },
    { ...BODY, cornersKg: [1, 2, 3, 4, 5] },
  ]) {
    expect((await served.inject({ ...post, payload: wrong, cookies })).statusCode).toBe(400);
  }
  served.answer = { ok: false, reason: 'the card is full' };
  const refused = await served.inject({ ...post, cookies });
  expect(refused.statusCode).toBe(409);
  expect(refused.json()).toMatchObject({ reason: 'the card is full' });
});

test('the checks so far are read from the day book, and are none before there is one', async () => {
  const siteDir = await newSite();
  const served = await serve({ siteDir });
  const look = { url: '/api/check-weight' };
  expect((await served.inject(look)).json()).toEqual([]);
  const check = { ...BODY, maxKg: 200, divisionKg: 0.1, who: null };
  writeRows(siteDir, [{ kind: 'check-weight', check, wall: wall(0) }]);
  expect((await served.inject(look)).json()).toMatchObject([
    { day: '2026-09-12', time: '09:00', words: expect.stringContaining('class III') as string },
  ]);
});
