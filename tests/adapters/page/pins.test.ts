import { readFileSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { openSecrets, secretsPath, setPin } from '../../../src/adapters/page/secrets.ts';
import { INSTALLER, newSite, OPERATOR, serve } from './served.ts';

describe('the secrets of a site', () => {
  test('are made once, readable by their owner only, with no PIN in clear', async () => {
    const siteDir = await newSite();
    rmSync(secretsPath(siteDir));
    const { freshPins, secrets } = await openSecrets(siteDir);
    expect(freshPins?.operator).toMatch(/^\d{6}$/);
    expect(freshPins?.installer).toMatch(/^\d{8}$/);
    expect(statSync(secretsPath(siteDir)).mode & 0o777).toBe(0o600);
    const kept = readFileSync(secretsPath(siteDir), 'utf8');
    expect(kept).not.toContain(freshPins?.operator);
    expect(kept).not.toContain(freshPins?.installer);
    expect(await secrets.roleOf(freshPins?.operator ?? '')).toBe('operator');
    expect(await secrets.roleOf(freshPins?.installer ?? '')).toBe('installer');
    expect((await openSecrets(siteDir)).freshPins).toBeNull();
  });

  test('that cannot be read are named, with the remedy', async () => {
    const siteDir = await newSite();
    writeFileSync(secretsPath(siteDir), '{"secrets":1,');
    await expect(openSecrets(siteDir)).rejects.toThrow(/secrets\.json .*npx fank pin/);
  });

  test.each(['123', '1234567890123', '12a4', ''])('%j is no PIN', async (pin) => {
    await expect(setPin(await newSite(), 'operator', pin)).rejects.toThrow('4 to 12 digits');
  });

  test('one PIN never opens both', async () => {
    const siteDir = await newSite();
    await expect(setPin(siteDir, 'operator', INSTALLER)).rejects.toThrow("installer's PIN");
    await expect(setPin(siteDir, 'installer', OPERATOR)).rejects.toThrow("operator's PIN");
  });
});

test('a new PIN ends the old one and whoever signed in with it, while the page runs', async () => {
  const served = await serve();
  const operator = await served.signIn(OPERATOR);
  const installer = await served.signIn(INSTALLER);
  await setPin(served.siteDir, 'operator', '11223344');
  const start = { method: 'POST', url: '/api/command', payload: { do: 'start' } } as const;
  expect((await served.inject({ ...start, cookies: operator })).statusCode).toBe(401);
  expect((await served.inject({ ...start, cookies: installer })).statusCode).toBe(200);
  const old = await served.inject({
    method: 'POST',
    url: '/api/sign-in',
    payload: { pin: OPERATOR },
  });
  expect(old.json()).toMatchObject({ error: 'wrong-pin' });
  expect(Object.keys(await served.signIn('11223344'))).toContain('fank');
});

test('a restart signs nobody out', async () => {
  const served = await serve();
  const cookies = await served.signIn(OPERATOR);
  const again = await serve({ siteDir: served.siteDir });
  const me = await again.inject({ url: '/api/me', cookies });
  expect(me.json()).toEqual({ role: 'operator', device: 1, until: '04:00' });
});
