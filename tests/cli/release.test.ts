import { spawnSync } from 'node:child_process';
import { existsSync, mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, test } from 'vitest';

let folder = '';
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'fank-release-'));
});
afterAll(() => {
  rmSync(folder, { recursive: true, force: true });
});

function release(site: string) {
  const cli = join(import.meta.dirname, '../../src/cli/fank.js');
  const run = spawnSync(process.execPath, [cli, 'release', '--site', site], { encoding: 'utf8' });
  return { status: run.status, said: `${run.stdout}${run.stderr}` };
}

/** A site folder with these lines in it and no plan, as when somebody has broken one by hand. */
function siteWith(name: string, lines: string): string {
  const site = join(folder, name);
  mkdirSync(site);
  writeFileSync(join(site, 'site.yaml'), lines);
  return site;
}

test('a folder without a site stays as it is, and nothing is claimed of outputs', () => {
  const site = join(folder, 'nowhere');
  const { status, said } = release(site);
  expect(status).toBe(2);
  expect(said).toMatch(/site\.yaml:1:1: the file is not there/);
  expect(said).not.toContain('is off');
  expect(existsSync(site)).toBe(false);
});

test('a simulated board: no line was touched, which is no yes', () => {
  const { status, said } = release(siteWith('simulated', 'profiles: { board: simulated }\n'));
  expect(status).toBe(1);
  expect(said).toMatch(/no line was touched/);
  expect(said).not.toContain('is off');
});

test('a name that no board has', () => {
  const { status, said } = release(siteWith('misnamed', 'profiles: { board: pi-gpoi }\n'));
  expect(status).toBe(2);
  expect(said).toMatch(/site\.yaml:1:20: there is no board profile "pi-gpoi".*pi-gpio/);
});

test('faults of plan, lists and the rest of the site do not keep it from the board', () => {
  const board = 'kind: board\nname: B\nabout: B\ntype: wired\n';
  const own = `${board}gpio: { chip: no-such-chip, buffered: false }\noutputs: { leafA.extend: { gpio: 17 } }\ninputs: {}\n`;
  const site = siteWith('broken', 'site: 7\nplan: gone\nprofiles: { board: own, gate: gone }\n');
  mkdirSync(join(site, 'profiles'));
  writeFileSync(join(site, 'profiles/own.yaml'), own);
  const { status, said } = release(site);
  expect(status).toBe(2);
  expect(said).toMatch(/board own: .*no-such-chip/);
});
