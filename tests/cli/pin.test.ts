import { mkdtempSync, rmSync, statSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { Command } from 'commander';
import { afterEach, expect, test, vi } from 'vitest';
import { openSecrets } from '../../src/adapters/page/secrets.ts';
import { pinCommand } from '../../src/cli/pin.ts';

const dirs: string[] = [];
afterEach(() => {
  vi.restoreAllMocks();
  for (const dir of dirs.splice(0)) rmSync(dir, { recursive: true, force: true });
});

function newSite(): string {
  const dir = mkdtempSync(join(tmpdir(), 'fank-pin-'));
  dirs.push(dir);
  return join(dir, 'site');
}

/** What `fank pin` prints on stdout. */
async function pin(...args: string[]): Promise<string> {
  let printed = '';
  vi.spyOn(process.stdout, 'write').mockImplementation((text) => {
    printed += String(text);
    return true;
  });
  vi.spyOn(process.stderr, 'write').mockReturnValue(true);
  const program = new Command('fank').exitOverride();
  pinCommand(program);
  await program.parseAsync(['pin', ...args], { from: 'user' });
  return printed;
}

test('makes both PINs of a new site and prints them once; later only the one asked for', async () => {
  const site = newSite();
  const first = JSON.parse(await pin('--site', site, '--json')) as Record<string, string>;
  expect(Object.keys(first).sort()).toEqual(['installer', 'operator']);
  expect(statSync(join(site, 'secrets.json')).mode & 0o777).toBe(0o600);
  const text = await pin('--site', site, '--who', 'installer');
  expect(text).toMatch(/^installer: \d{8}\n$/);
  const { secrets } = await openSecrets(site);
  expect(await secrets.roleOf(first['operator'] ?? '')).toBe('operator');
  expect(await secrets.roleOf(first['installer'] ?? '')).toBeNull();
});

test('takes a PIN of 4 to 12 digits and refuses anything else in words', async () => {
  const site = newSite();
  expect(await pin('--site', site, '--set', '4711')).toContain('operator: 4711\n');
  await expect(pin('--site', site, '--set', '47')).rejects.toThrow('4 to 12 digits');
});
