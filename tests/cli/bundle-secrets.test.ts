/** A technician's bundle of a site that people work with holds nothing that opens it. */
import { execFileSync, spawnSync } from 'node:child_process';
import { mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { expect, onTestFinished, test } from 'vitest';
import { secretsPath, setPin } from '../../src/adapters/page/secrets.ts';
import { openSessions } from '../../src/adapters/page/sessions.ts';
import { makeSite } from '../../src/config/starting-site.ts';

const main = join(import.meta.dirname, '../../src/cli/main.ts');
const SECRETS = ['cookieKey', 'salt', 'hash'];

/** Every value of a secret in the file, however deep. */
function secretsIn(value: unknown, key = ''): string[] {
  if (typeof value === 'string') return SECRETS.includes(key) ? [value] : [];
  if (typeof value !== 'object' || value === null) return [];
  return Object.entries(value).flatMap(([name, inner]) => secretsIn(inner, name));
}

test('PINs, their hashes, the key of the cookies and the sign-ins stay out of a bundle', async () => {
  const folder = mkdtempSync(join(tmpdir(), 'fank-bundle-secrets-'));
  onTestFinished(() => {
    rmSync(folder, { recursive: true, force: true });
  });
  const site = join(folder, 'site');
  makeSite(site);
  await setPin(site, 'operator', '24681012');
  await setPin(site, 'installer', '13579111');
  const { id } = openSessions(site, 'UTC').begin('installer', 'mark', Date.now());
  mkdirSync(join(site, 'traces'), { recursive: true });
  writeFileSync(join(site, 'traces', 'a.trace.ndjson'), '{"trace":1}\n');
  const out = join(folder, 'a.tar.gz');
  const made = spawnSync(
    process.execPath,
    ['--import', 'tsx', main, 'bundle', '--site', site, '--out', out],
    { encoding: 'utf8' },
  );
  expect(made.status).toBe(0);
  const kept = JSON.parse(readFileSync(secretsPath(site), 'utf8')) as unknown;
  const secrets = ['24681012', '13579111', id, ...secretsIn(kept)];
  expect(secrets).toHaveLength(3 + 5);
  const all = execFileSync('tar', ['-xzOf', out], { encoding: 'latin1' });
  expect(all).toContain('"trace":1');
  for (const secret of secrets) {
    expect(all).not.toContain(secret);
    expect(made.stdout + made.stderr).not.toContain(secret);
  }
});
