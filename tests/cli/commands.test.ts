import { spawnSync } from 'node:child_process';
import { existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';

let folder = '';
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'fank-cli-'));
});
afterAll(() => {
  rmSync(folder, { recursive: true, force: true });
});

function fank(...args: string[]) {
  const cli = join(import.meta.dirname, '../../src/cli/fank.js');
  return spawnSync(process.execPath, [cli, ...args], { encoding: 'utf8', cwd: folder });
}

/** As `fank --help` lists them. */
function commands(): string[] {
  const { stdout } = fank('--help');
  return [...stdout.matchAll(/^ {2}(\w+)(?: \[options\]| )/gm)].flatMap(([, name]) =>
    name === undefined || name === 'help' ? [] : [name],
  );
}

test('every command has help with an example', () => {
  const names = commands();
  expect(names).toEqual(expect.arrayContaining(['run', 'demo', 'replay', 'book', 'cable', 'pin']));
  for (const name of names) {
    const { status, stdout } = fank(name, '--help');
    expect([name, status]).toEqual([name, 0]);
    expect(stdout, name).toMatch(new RegExp(`Examples?:\\s+(npx )?fank ${name}`));
  }
});

test('an option that is not there: exit 2, nothing on stdout', () => {
  for (const name of commands()) {
    const { status, stdout, stderr } = fank(name, '--sideways');
    expect([name, status, stdout]).toEqual([name, 2, '']);
    expect(stderr).toMatch(/error: /);
  }
});

test('fank cable --json gives one JSON line', () => {
  const args = ['--amps', '6', '--metres', '8', '--mm2', '2.5', '--celsius', '20', '--json'];
  const { status, stdout } = fank('cable', ...args);
  expect(status).toBe(0);
  expect(JSON.parse(stdout)).toEqual({ dropVolts: 0.766, dropPercent: 6.384, voltsAtLoad: 11.234 });
});

describe('a broken site is said at its place, and the file stays as it was', () => {
  const site = (): string => join(folder, 'site');
  beforeAll(() => {
    expect(fank('demo', '--exit', '--animals', '1', '--pace', '20', '--site', site()).status).toBe(
      0,
    );
  });

  test.each([
    ['site.yaml', 'zone: Europe/London', 'zone: Europe/Londn', /site\.yaml:3:7: .*Europe\/London/],
    ['site.yaml', 'profiles:', 'profils:', /site\.yaml:7:1: .*"?profils"?.*profiles/s],
    ['site.yaml', 'gate: three-way', 'gate: tree-way', /site\.yaml:\d+:\d+: .*three-way/],
    ['plans/by-weight.yaml', 'unsure: hold', 'unsure: hlod', /by-weight\.yaml:\d+:\d+: .*hold/],
    ['plans/by-weight.yaml', 'exit: right', 'exit: up', /by-weight\.yaml:\d+:\d+: .*up.*right/s],
  ])('%s: %s -> %s', (name, was, is, words) => {
    const path = join(site(), name);
    const before = readFileSync(path, 'utf8');
    const broken = before.replace(was, is);
    expect(broken).not.toBe(before);
    writeFileSync(path, broken);
    const { status, stdout, stderr } = fank('demo', '--exit', '--animals', '1', '--site', site());
    expect([status, stdout]).toEqual([2, '']);
    expect(stderr).toMatch(words);
    expect(readFileSync(path, 'utf8')).toBe(broken);
    writeFileSync(path, before);
  });

  test('a tag list that the plan names and that is missing refuses the plan', () => {
    const path = join(site(), 'plans/by-weight.yaml');
    const before = readFileSync(path, 'utf8');
    const tags =
      'tags: { lists: [ { file: keep-back.csv, lot: Stores } ], withdrawal: { lot: Stores }, unread: hold }\n';
    writeFileSync(path, `${before}${tags}`);
    const { status, stderr } = fank('demo', '--exit', '--animals', '1', '--site', site());
    expect(status).toBe(2);
    expect(stderr).toContain('keep-back.csv');
    expect(existsSync(join(site(), 'fank.db'))).toBe(true);
    writeFileSync(path, before);
  });
});
