import { spawnSync } from 'node:child_process';
import { mkdtempSync, readdirSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { afterAll, beforeAll, expect, test } from 'vitest';

/** The main job, as the README runs it, on a site folder that is looked at afterwards. */
let site = '';
beforeAll(() => {
  site = mkdtempSync(join(tmpdir(), 'fank-demo-'));
});
afterAll(() => {
  rmSync(site, { recursive: true, force: true });
});

function fank(...args: string[]) {
  const cli = join(import.meta.dirname, '../../src/cli/fank.js');
  return spawnSync(process.execPath, [cli, ...args], { encoding: 'utf8', timeout: 120_000 });
}

test('every lamb is weighed, sent, saved, and the recording replays to the bit', () => {
  const ran = fank(
    'demo',
    '--exit',
    '--animals',
    '15',
    '--pace',
    '20',
    '--seed',
    '1',
    '--json',
    '--site',
    site,
  );
  expect(ran.stderr).toBe('');
  expect(ran.status).toBe(0);
  const summary = JSON.parse(ran.stdout) as Record<string, number>;
  expect(summary).toMatchObject({ animals: 15, logged: 15, missed: 0, wrongLot: 0, faults: 0 });
  expect(Object.keys(summary)).toEqual([
    ...['animals', 'logged', 'rightLot', 'wrongLot', 'nearCut', 'unsure', 'missed', 'faults'],
    ...['lateTicks', 'seconds'],
  ]);

  const db = new Database(join(site, 'fank.db'), { readonly: true });
  expect(db.prepare('select count(*) from crossing').pluck().get()).toBe(15);
  db.close();

  const traces = readdirSync(join(site, 'traces')).map((name) => join(site, 'traces', name));
  expect(traces).toHaveLength(1);
  const verified = fank('replay', ...traces, '--verify');
  expect(verified.stderr).toMatch(/: equal\n$/);
  expect(verified.status).toBe(0);
  const replayed = fank('replay', ...traces, '--json')
    .stdout.trim()
    .split('\n');
  expect(replayed).toHaveLength(15);

  const book = fank('book', '--site', site, '--format', 'csv');
  expect(book.status).toBe(0);
  expect(book.stdout.trim().split('\n')).toHaveLength(16);
}, 120_000);

test('a second one on the same site folder is refused by name', () => {
  const holder = new URL('hold-site.ts', import.meta.url).pathname;
  const ran = spawnSync(process.execPath, ['--import', 'tsx', holder, site], { encoding: 'utf8' });
  expect(ran.stdout).toMatch(/refused: .*(process|pid) \d+/i);
});
