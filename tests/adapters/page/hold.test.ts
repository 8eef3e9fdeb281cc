/** Hold-to-run at the door: a nonce is young, used once, of this press and this phone; else nothing moves. */
import { expect, test } from 'vitest';
import type { Held } from '../../../src/adapters/page/contracts.ts';
import { INSTALLER, OPERATOR, serve, type Served } from './served.ts';

type Cookies = Record<string, string>;

async function send(served: Served, cookies: Cookies, payload: object) {
  const response = await served.inject({ method: 'POST', url: '/api/hold', payload, cookies });
  return { status: response.statusCode, ...response.json<Held & { reason?: string }>() };
}

const begin = (served: Served, cookies: Cookies) =>
  send(served, cookies, { output: 'leafA.extend' });
const renew = (served: Served, cookies: Cookies, { press, nonce }: Held) =>
  send(served, cookies, { press, nonce });

test('a press moves nothing before its first renewal; each renewal takes a new nonce', async () => {
  const served = await serve();
  const cookies = await served.signIn(INSTALLER);
  let held = await begin(served, cookies);
  expect(served.commands).toEqual([]);
  for (let n = 0; n < 20; n++) {
    served.time.mono += 60;
    const next = await renew(served, cookies, held);
    expect(next.status).toBe(200);
    expect(next.nonce).not.toBe(held.nonce);
    held = next;
  }
  const presses = new Set(served.commands.map(({ command }) => JSON.stringify(command)));
  expect(served.commands).toHaveLength(20);
  expect([...presses]).toEqual([
    JSON.stringify({ do: 'hold', output: 'leafA.extend', press: held.press }),
  ]);
});

test('a nonce that is 221 ms old, was used, or is another’s ends the press for good', async () => {
  const served = await serve();
  const cookies = await served.signIn(INSTALLER);
  for (const spoil of [
    (held: Held) => {
      served.time.mono += 221;
      return held;
    },
    (held: Held) => ({ ...held, nonce: 'aaaaaaaaaaaa' }),
    (held: Held) => ({ ...held, press: held.press - 1 }),
  ]) {
    const first = await begin(served, cookies);
    const second = await renew(served, cookies, first);
    expect(second.status).toBe(200);
    served.commands.length = 0;
    const late = await renew(served, cookies, spoil(second));
    expect(late.status).toBe(409);
    expect((await renew(served, cookies, first)).status).toBe(409);
    expect(served.commands).toEqual([]);
  }
});

test('a nonce at 220 ms is taken', async () => {
  const served = await serve();
  const cookies = await served.signIn(INSTALLER);
  const held = await begin(served, cookies);
  served.time.mono += 220;
  expect((await renew(served, cookies, held)).status).toBe(200);
});

test('the operator’s PIN does not open it, and nobody without one', async () => {
  const served = await serve();
  expect((await begin(served, {})).status).toBe(401);
  expect((await begin(served, await served.signIn(OPERATOR))).status).toBe(403);
  expect(served.commands).toEqual([]);
});

test('a second phone does not move a leaf before it takes over, and then the first one’s press is over', async () => {
  const served = await serve();
  const one = await served.signIn(INSTALLER);
  const other = await served.signIn(INSTALLER);
  const held = await renew(served, one, await begin(served, one));
  expect((await begin(served, other)).status).toBe(409);
  expect((await renew(served, other, held)).status).toBe(409);
  const again = await renew(served, one, held);
  expect(again.status).toBe(200);
  const take = { method: 'POST', url: '/api/control', payload: { take: true } } as const;
  await served.inject({ ...take, cookies: other });
  expect((await renew(served, one, again)).status).toBe(409);
  expect((await renew(served, other, await begin(served, other))).status).toBe(200);
});

test('stop ends a press, and so does a new one', async () => {
  const served = await serve();
  const cookies = await served.signIn(INSTALLER);
  const held = await begin(served, cookies);
  await served.inject({ method: 'POST', url: '/api/stop' });
  expect((await renew(served, cookies, held)).status).toBe(409);
  const first = await begin(served, cookies);
  await begin(served, cookies);
  expect((await renew(served, cookies, first)).status).toBe(409);
});

test('what the interlock refuses ends the press with its reason', async () => {
  const served = await serve();
  const cookies = await served.signIn(INSTALLER);
  const held = await begin(served, cookies);
  served.answer = { ok: false, reason: 'Only the opening direction frees a leaf.' };
  expect((await renew(served, cookies, held)).reason).toContain('opening direction');
  served.answer = { ok: true };
  expect((await renew(served, cookies, held)).status).toBe(409);
});
