/** The door of the fitting: who may say what, in which form. */
import { expect, test } from 'vitest';
import { INSTALLER, OPERATOR, serve } from './served.ts';

const SAY = { do: 'answer', who: 'A. Fitter', item: 'fuses', value: true };

test.each(['/api/fitting', '/api/fitting/live'])('%s is closed without a PIN', async (url) => {
  const served = await serve();
  expect((await served.inject({ url })).statusCode).toBe(401);
});

test('the operator may read what is open, and neither watch lamps nor say anything', async () => {
  const served = await serve();
  const cookies = await served.signIn(OPERATOR);
  // 504: the door is open, and no service stands behind it here.
  expect((await served.inject({ url: '/api/fitting', cookies })).statusCode).toBe(504);
  expect((await served.inject({ url: '/api/fitting/live', cookies })).statusCode).toBe(403);
  const say = { method: 'POST', url: '/api/fitting', payload: SAY, cookies } as const;
  expect((await served.inject(say)).statusCode).toBe(403);
});

test.each([
  [{ ...SAY, who: '' }],
  [{ ...SAY, who: '   ' }],
  [{ ...SAY, who: 'A'.repeat(61) }],
  [{ ...SAY, value: { deep: true } }],
  [{ ...SAY, value: Array.from({ length: 9 }, () => 1) }],
  [{ ...SAY, value: 'x'.repeat(121) }],
  [{ ...SAY, more: 1 }],
  [{ do: 'sign' }],
  [{ do: 'new-yard', who: 'A', place: ' ' }],
  [{ do: 'forge', who: 'A' }],
])('%j is no form of an answer', async (payload) => {
  const served = await serve();
  const cookies = await served.signIn(INSTALLER);
  const response = await served.inject({ method: 'POST', url: '/api/fitting', payload, cookies });
  expect(response.statusCode).toBe(400);
});
