/** The door of the sums for cable and battery. */
import { expect, test } from 'vitest';
import { OPERATOR, serve } from './served.ts';

const CABLE = { amps: 6, metres: 8, celsius: 20, volts: 12, allow: 5 };
const ask = (payload: object) => ({ method: 'POST', url: '/api/fitting/power', payload }) as const;

test('asks for a PIN, then answers', async () => {
  const served = await serve();
  expect((await served.inject(ask(CABLE))).statusCode).toBe(401);
  const cookies = await served.signIn(OPERATOR);
  const answer = await served.inject({ ...ask(CABLE), cookies });
  expect(answer.statusCode).toBe(200);
  expect(answer.json()).toMatchObject({ mm2: 4, charge: null });
});

test.each([[{ ...CABLE, amps: -1 }], [{ ...CABLE, mm2: 3 }], [{ ...CABLE, more: 1 }], [{}]])(
  '%j is refused',
  async (payload) => {
    const served = await serve();
    const cookies = await served.signIn(OPERATOR);
    expect((await served.inject({ ...ask(payload), cookies })).statusCode).toBe(400);
  },
);
