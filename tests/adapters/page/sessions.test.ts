import { describe, expect, test } from 'vitest';
import { endOf, openSessions } from '../../../src/adapters/page/sessions.ts';
import { INSTALLER, newSite, OPERATOR, serve, type Served } from './served.ts';

const at = (text: string): number => Date.parse(text);

describe('a sign-in ends', () => {
  test.each([
    ['in the morning of a summer day', '2026-07-01T06:00:00Z', '2026-07-02T03:00:00Z'],
    ['late in the evening', '2026-07-01T22:59:00Z', '2026-07-02T03:00:00Z'],
    ['less than four hours before', '2026-07-01T23:00:01Z', '2026-07-03T03:00:00Z'],
    ['in the night when clocks go back', '2026-10-24T18:00:00Z', '2026-10-25T04:00:00Z'],
    ['in the night when they go forward', '2026-03-28T18:00:00Z', '2026-03-29T03:00:00Z'],
  ])('for the operator at 04:00 in London: %s', (_name, now, end) => {
    expect(new Date(endOf('operator', at(now), 'Europe/London')).toISOString()).toBe(
      new Date(end).toISOString(),
    );
  });

  test('for the installer after four hours', () => {
    expect(endOf('installer', 1000, 'UTC')).toBe(1000 + 4 * 3_600_000);
  });

  test('when the clock that it was made by turns out to be years ahead', async () => {
    const sessions = openSessions(await newSite(), 'UTC');
    const { id } = sessions.begin('operator', 'mark', at('2036-01-01T08:00:00Z'));
    expect(sessions.find(id, at('2026-07-01T08:00:00Z'), () => 'mark')).toBeNull();
  });
});

const end = (served: Served, device: number, cookies?: Record<string, string>) =>
  served.inject({
    method: 'POST',
    url: '/api/devices/end',
    payload: { device },
    ...(cookies === undefined ? {} : { cookies }),
  });

/** Looks on until it is sent away; how its stream ended. */
const cutOff = (served: Served, cookies: Record<string, string>): Promise<string> =>
  served.inject({ url: '/api/live', cookies }).then(
    () => 'ended',
    (error: unknown) => String(error),
  );

describe('whoever is signed in', () => {
  test('sees all phones and can end the sign-in of any, the installer’s too', async () => {
    const served = await serve();
    const operator = await served.signIn(OPERATOR);
    const installer = await served.signIn(INSTALLER);
    const list = await served.inject({ url: '/api/devices', cookies: operator });
    expect(list.json()).toEqual([
      { device: 1, role: 'operator', until: '04:00', looking: false, me: true },
      { device: 2, role: 'installer', until: '19:13', looking: false, me: false },
    ]);
    expect(list.body).not.toContain((installer['fank'] ?? '').split('.')[0]);
    expect((await end(served, 2, operator)).statusCode).toBe(200);
    const start = { method: 'POST', url: '/api/command', payload: { do: 'start' } } as const;
    expect((await served.inject({ ...start, cookies: installer })).statusCode).toBe(401);
    expect((await served.inject({ ...start, cookies: operator })).statusCode).toBe(200);
    expect((await end(served, 2, operator)).statusCode).toBe(404);
  });

  test('alone can: nobody else sees or ends anything', async () => {
    const served = await serve();
    const operator = await served.signIn(OPERATOR);
    expect((await served.inject({ url: '/api/devices' })).statusCode).toBe(401);
    expect((await end(served, 1)).statusCode).toBe(401);
    expect((await served.inject({ url: '/api/me', cookies: operator })).json()).toMatchObject({
      device: 1,
    });
  });

  test('loses the live page and the controls with the sign-in, whoever ended it', async () => {
    const served = await serve({ openLooking: false });
    const [first, second] = [await served.signIn(OPERATOR), await served.signIn(OPERATOR)];
    await served.page.app.listen({ host: '127.0.0.1', port: 0 });
    const cut = cutOff(served, first);
    await expect
      .poll(async () =>
        (await served.inject({ url: '/api/devices', cookies: second })).json<object>(),
      )
      .toMatchObject([{ looking: true }, { looking: false }]);
    expect((await end(served, 1, second)).statusCode).toBe(200);
    expect(await cut).toContain('destroyed');
    expect((await served.inject({ url: '/api/live', cookies: first })).statusCode).toBe(401);
  });

  test('is sent away when the time is over', async () => {
    const served = await serve({ openLooking: false });
    const cookies = await served.signIn(INSTALLER);
    const cut = cutOff(served, cookies);
    await new Promise((resolve) => setImmediate(resolve));
    served.page.beat();
    served.time.wall += 4 * 3_600_000;
    served.page.beat();
    expect(await cut).toContain('destroyed');
  });
});
