/** What is tried on the page's doors, and what has to come of it: rows of `docs/security.md`. */
import { describe, expect, test } from 'vitest';
import { cookiesOf, INSTALLER, OPERATOR, serve, type Served } from './served.ts';

const START = { method: 'POST', url: '/api/command', payload: { do: 'start' } } as const;

async function tryPin(served: Served, pin: string, more: object = {}): Promise<number> {
  const response = await served.inject({
    method: 'POST',
    url: '/api/sign-in',
    payload: { pin },
    ...more,
  });
  return response.statusCode;
}

describe('without a PIN', () => {
  test.each(['/api/command', '/api/control'])(
    '%s is refused before its body is read',
    async (url) => {
      const served = await serve();
      const response = await served.inject({
        method: 'POST',
        url,
        payload: '{ not json',
        headers: { 'content-type': 'application/json' },
      });
      expect(response.statusCode).toBe(401);
      expect(response.json()).toMatchObject({ error: 'sign-in-first' });
      expect(served.commands).toEqual([]);
    },
  );

  test('stop is taken, with no body, at once', async () => {
    const served = await serve();
    const response = await served.inject({ method: 'POST', url: '/api/stop' });
    expect(response.json()).toEqual({ ok: true });
    expect(served.commands).toEqual([
      { command: { do: 'stop' }, who: { role: 'anyone', device: null } },
    ]);
  });

  test('stop is taken 2,000 times in a minute', async () => {
    const served = await serve();
    for (let n = 0; n < 2000; n++) {
      const response = await served.inject({ method: 'POST', url: '/api/stop' });
      expect(response.statusCode).toBe(200);
    }
    expect(served.commands).toHaveLength(2000);
  });

  test('stop is never sent by looking', async () => {
    const served = await serve();
    for (const method of ['GET', 'HEAD'] as const) {
      const response = await served.inject({ method, url: '/api/stop' });
      expect(response.statusCode).toBe(404);
    }
    expect(served.commands).toEqual([]);
  });

  test('looking is refused where the site says so', async () => {
    const served = await serve({ openLooking: false });
    for (const url of ['/api/now', '/api/live', '/metrics', '/api/openapi.json']) {
      expect((await served.inject({ url })).statusCode, url).toBe(401);
    }
    expect((await served.inject({ url: '/' })).statusCode).toBe(200);
    const cookies = await served.signIn(OPERATOR);
    expect((await served.inject({ url: '/api/now', cookies })).statusCode).toBe(200);
  });
});

describe('guessing a PIN', () => {
  test('1,000 wrong PINs of one device, one a second: 23 are looked at, others sign in at once', async () => {
    const served = await serve();
    let checked = 0;
    for (let n = 0; n < 1000; n++) {
      served.time.mono += 1000;
      const status = await tryPin(served, String(100000 + n), { remoteAddress: '192.0.2.66' });
      expect([401, 429]).toContain(status);
      if (status === 401) checked++;
    }
    // 3 free, then after 2, 4, 8, 16, 32 s, then one a minute for the rest of the 1,000 s.
    expect(checked).toBe(3 + 5 + Math.floor((1000 - 3 - 62) / 60));
    expect(await tryPin(served, OPERATOR, { remoteAddress: '192.0.2.67' })).toBe(200);
    served.time.mono += 60_000;
    expect(await tryPin(served, OPERATOR, { remoteAddress: '192.0.2.66' })).toBe(200);
  });

  test('a burst is checked one at a time', async () => {
    const served = await serve();
    const burst = Array.from({ length: 30 }, (_, n) => tryPin(served, String(200000 + n)));
    const statuses = await Promise.all(burst);
    expect(statuses.filter((status) => status === 401)).toHaveLength(1);
    expect(statuses.filter((status) => status === 429)).toHaveLength(29);
  });

  test('a device that knew the PIN is not slowed down by its neighbour behind one address', async () => {
    const served = await serve();
    const device = await served.signIn(OPERATOR);
    for (let n = 0; n < 6; n++) await tryPin(served, '000000');
    expect(await tryPin(served, OPERATOR)).toBe(429);
    expect(await tryPin(served, OPERATOR, { cookies: device })).toBe(200);
  });

  test.each([['12'], ['12345a'], ['1'.repeat(13)], ['1\r\nX: y']])(
    '%j is not even tried',
    async (pin) => {
      const served = await serve();
      expect(await tryPin(served, pin)).toBe(400);
    },
  );
});

describe('cookies', () => {
  test('are HttpOnly, SameSite=Strict and not for plain-http-breaking Secure', async () => {
    const served = await serve();
    const response = await served.inject({
      method: 'POST',
      url: '/api/sign-in',
      payload: { pin: OPERATOR },
    });
    for (const cookie of response.cookies) {
      expect(cookie).toMatchObject({ httpOnly: true, sameSite: 'Strict', path: '/' });
    }
    expect(Object.keys(cookiesOf(response)).sort()).toEqual(['fank', 'fank-device']);
  });

  test('a stolen one is worth nothing after signing out', async () => {
    const served = await serve();
    const cookies = await served.signIn(OPERATOR);
    expect((await served.inject({ ...START, cookies })).statusCode).toBe(200);
    await served.inject({ method: 'POST', url: '/api/sign-out', cookies });
    expect((await served.inject({ ...START, cookies })).statusCode).toBe(401);
  });

  test('a changed or unsigned one is worth nothing', async () => {
    const served = await serve();
    const { fank = '' } = await served.signIn(OPERATOR);
    const changed = `${fank.startsWith('A') ? 'B' : 'A'}${fank.slice(1)}`;
    for (const forged of [changed, fank.split('.')[0] ?? '', '', '.', '__proto__']) {
      const response = await served.inject({ ...START, cookies: { fank: forged } });
      expect(response.statusCode, forged).toBe(401);
    }
  });

  test("the operator's does not outlast the working day", async () => {
    const served = await serve();
    const cookies = await served.signIn(OPERATOR);
    // 14:13:20 UTC is 15:13:20 in London: until 04:00 there.
    served.time.wall += 12 * 3_600_000 + 46 * 60_000 + 40_000 - 1;
    expect((await served.inject({ ...START, cookies })).statusCode).toBe(200);
    served.time.wall += 1;
    expect((await served.inject({ ...START, cookies })).statusCode).toBe(401);
  });
});

describe('from elsewhere', () => {
  test.each([
    ['another site', { origin: 'http://evil.example' }],
    ['another port', { origin: 'http://192.0.2.7:9999' }],
    ['https of the same name', { origin: 'https://192.0.2.7:8080' }],
    ['a sandboxed frame', { origin: 'null' }],
    ['a cross-site fetch', { 'sec-fetch-site': 'cross-site' }],
    ['a neighbour site', { 'sec-fetch-site': 'same-site' }],
  ])('a post of %s is refused, stop as well', async (_name, headers) => {
    const served = await serve();
    const cookies = await served.signIn(OPERATOR);
    for (const url of ['/api/stop', '/api/command', '/api/sign-in', '/api/sign-out']) {
      const response = await served.inject({ ...START, url, cookies, headers });
      expect(response.statusCode, url).toBe(403);
    }
    expect(served.commands).toEqual([]);
  });

  test.each(['evil.example', 'evil.example:8080', '192.0.2.7.evil.example', 'a@127.0.0.1', '[::1'])(
    'Host %j is not served',
    async (host) => {
      const served = await serve();
      for (const url of ['/', '/api/now', '/api/live', '/healthz']) {
        const response = await served.inject({ url, headers: { host } });
        expect(response.statusCode, url).toBe(421);
      }
    },
  );

  test.each(['127.0.0.1', '192.0.2.7:8080', '[2001:db8::1]:8080', 'localhost:80', 'pen.example'])(
    'Host %j is ours',
    async (host) => {
      const served = await serve();
      expect((await served.inject({ url: '/', headers: { host } })).statusCode).toBe(200);
    },
  );

  test('a form cannot post: only JSON is read', async () => {
    const served = await serve();
    const cookies = await served.signIn(OPERATOR);
    for (const type of ['text/plain', 'application/x-www-form-urlencoded', 'multipart/form-data']) {
      const response = await served.inject({
        method: 'POST',
        url: '/api/command',
        cookies,
        payload: '{"do":"start"}',
        headers: { 'content-type': type },
      });
      expect(response.statusCode, type).toBe(415);
    }
    expect(served.commands).toEqual([]);
  });
});

describe('odd requests', () => {
  test.each([
    '/../secrets.json',
    '/..%2fsecrets.json',
    '/%2e%2e/secrets.json',
    '/assets/..%2f..%2fsecrets.json',
    '/..%5csecrets.json',
    '//etc/passwd',
    '/%00',
    '/.git/config',
  ])('%s reaches no file outside the page', async (url) => {
    const served = await serve();
    const response = await served.inject({ url });
    expect([400, 403, 404]).toContain(response.statusCode);
    expect(response.body).not.toContain('cookieKey');
  });

  test('a huge body is cut off', async () => {
    const served = await serve();
    const cookies = await served.signIn(OPERATOR);
    const payload = { do: 'exit', exit: 'x'.repeat(1_000_000) };
    const response = await served.inject({ ...START, payload, cookies });
    expect(response.statusCode).toBe(413);
  });

  test.each([
    { do: 'hold', output: 'leafA.extend' },
    { do: 'fit' },
    { do: 'stop', extra: 1 },
    { do: 'start', counts: { Stores: 1 } },
    { do: 'exit', exit: '' },
    { do: 'exit', exit: 'left', animal: -1 },
    { do: 'exit', exit: 'left', animal: 1.5 },
    { do: 'constructor' },
    [],
    { __proto__: null },
  ])('%j is no command', async (payload) => {
    const served = await serve();
    const cookies = await served.signIn(INSTALLER);
    const response = await served.inject({ ...START, payload, cookies });
    expect(response.statusCode).toBe(400);
    expect(served.commands).toEqual([]);
  });

  test('line breaks in what is sent never reach a header', async () => {
    const served = await serve();
    for (const url of ['/%0d%0aSet-Cookie:%20fank=x', '/api/now?x=%0d%0aSet-Cookie:%20fank=x']) {
      const response = await served.inject({ url });
      expect(response.headers['set-cookie']).toBeUndefined();
      expect(JSON.stringify(response.headers)).not.toContain('fank=x');
    }
  });

  test('every answer carries the strict policy, and nothing that plain http cannot bear', async () => {
    const served = await serve();
    for (const url of ['/', '/api/now', '/nothing-here']) {
      const { headers } = await served.inject({ url });
      expect(headers['content-security-policy'], url).toContain("default-src 'none'");
      expect(headers['content-security-policy']).not.toMatch(/unsafe|upgrade-insecure/);
      expect(headers['strict-transport-security']).toBeUndefined();
      expect(headers['x-content-type-options']).toBe('nosniff');
    }
  });

  test('700 requests in a minute from one address: the last hundred are turned away', async () => {
    const served = await serve();
    const statuses: number[] = [];
    for (let n = 0; n < 700; n++) {
      statuses.push((await served.inject({ url: '/api/me' })).statusCode);
    }
    expect(statuses.filter((status) => status === 429)).toHaveLength(100);
    expect((await served.inject({ method: 'POST', url: '/api/stop' })).statusCode).toBe(200);
  });
});
