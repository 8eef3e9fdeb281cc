/** What people say of a session: from whom it is taken, and in which shape. */
import { expect, test } from 'vitest';
import { OPERATOR, serve } from './served.ts';
import { sessionShown } from './sample.ts';

const WORDS = {
  ...{ farm: 'Upper', holding: null, flockMark: null, mob: 'Gimmers', field: null },
  ...{ hoursOffFeed: 12, fleece: 'damp', who: null },
};
const GIVEN = {
  ...{ product: 'Drench A', batch: '', expiry: '2027-01-31', mlPerKg: 0.2, stepMl: 0.5 },
  ...{ days: null, use: 'label' },
};

test('is shown as it was told last, to anybody who may look', async () => {
  const served = await serve();
  expect((await served.inject({ url: '/api/session' })).json()).toBe(null);
  served.page.tellSession(sessionShown({ head: 3 }));
  expect((await served.inject({ url: '/api/session' })).json()).toMatchObject({ head: 3 });
});

test('needs a PIN, and is handed to the daemon with the phone that said it', async () => {
  const served = await serve();
  const post = { method: 'POST', url: '/api/session' } as const;
  const payload = { do: 'pulled-out', animal: 4 };
  expect((await served.inject({ ...post, payload })).statusCode).toBe(401);
  const cookies = await served.signIn(OPERATOR);
  for (const order of [
    payload,
    { do: 'describe', words: WORDS },
    { do: 'tag', animal: 4, tag: false },
    { do: 'given', given: GIVEN },
    { do: 'new-pen', exit: 'left' },
  ]) {
    expect((await served.inject({ ...post, payload: order, cookies })).json()).toEqual({
      ok: true,
    });
    expect(served.orders.at(-1)).toEqual({ order, who: { role: 'operator', device: 1 } });
  }
  for (const wrong of [
    { do: 'pulled-out' },
    { do: 'tag', animal: 4, tag: '123' },
    { do: 'describe', words: { ...WORDS, fleece: 'soaked' } },
    { do: 'given', given: { ...GIVEN, mlPerKg: 0 } },
    { do: 'given', given: { ...GIVEN, expiry: 'soon' } },
    { do: 'clock', wallMs: 0 },
  ]) {
    const answer = await served.inject({ ...post, payload: wrong, cookies });
    expect(answer.statusCode).toBe(400);
  }
  served.answer = { ok: false, reason: 'Stop first' };
  const refused = await served.inject({ ...post, payload, cookies });
  expect([refused.statusCode, refused.json()]).toMatchObject([409, { reason: 'Stop first' }]);
});
