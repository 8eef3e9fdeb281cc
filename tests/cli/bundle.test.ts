import { execFileSync, spawnSync } from 'node:child_process';
import { mkdirSync, mkdtempSync, readFileSync, rmSync, utimesSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { makeSite } from '../../src/config/starting-site.ts';

const main = join(import.meta.dirname, '../../src/cli/main.ts');
let folder = '';
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'fank-bundle-test-'));
});
afterAll(() => {
  rmSync(folder, { recursive: true, force: true });
});

function fank(...args: string[]) {
  return spawnSync(process.execPath, ['--import', 'tsx', main, ...args], { encoding: 'utf8' });
}

test('configuration, versions, checks and the newest traces; no PINs, no day book', () => {
  const site = join(folder, 'site');
  makeSite(site);
  expect(fank('pin', '--site', site).status).toBe(0);
  mkdirSync(join(site, 'traces'), { recursive: true });
  for (const [name, size, age] of [
    ['new.trace.ndjson', 1000, 1],
    ['large.trace.ndjson', 19.9e6, 2],
    ['old.trace.ndjson', 200_000, 3],
  ] as const) {
    const file = join(site, 'traces', name);
    writeFileSync(file, Buffer.alloc(size, 'a'));
    utimesSync(file, 1e9 - age, 1e9 - age);
  }
  const out = join(folder, 'a.tar.gz');
  const { status, stdout } = fank('bundle', '--site', site, '--out', out, '--json');
  expect(status).toBe(0);
  expect(JSON.parse(stdout)).toMatchObject({ file: out });

  execFileSync('tar', ['-xzf', out, '-C', folder]);
  const listed = execFileSync('tar', ['-tzf', out], { encoding: 'utf8' });
  expect(listed).toMatch(/site\.yaml/);
  expect(listed).toMatch(/traces\/new/);
  expect(listed).toMatch(/traces\/large/);
  expect(listed).not.toMatch(/traces\/old|secrets|fank\.db/);
  const read = (name: string): unknown =>
    JSON.parse(readFileSync(join(folder, 'fank-bundle', name), 'utf8')) as unknown;
  expect(read('versions.json')).toMatchObject({ node: process.version });
  expect(read('checks.json')).toContainEqual(expect.objectContaining({ check: 'PINs', ok: true }));
  expect(read('events.json')).toEqual([]);

  const again = fank('bundle', '--site', site, '--out', out);
  expect([again.status, again.stderr]).toEqual([2, expect.stringContaining('is there already')]);
});

test('a folder that is no site is refused with the remedy', () => {
  const { status, stderr } = fank('bundle', '--site', join(folder, 'nothing'));
  expect([status, stderr]).toEqual([2, expect.stringContaining('--site')]);
});
