import { spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { writeRows } from '../adapters/records/example.ts';
import type { Check } from '../../src/cli/check-line.ts';
import { checks } from '../../src/cli/check-site.ts';
import { loadSite } from '../../src/config/load.ts';
import { FITTING_FILE, fittingText, marksOf } from '../../src/fitting/file.ts';
import { complete } from '../fitting/complete.ts';

let site = '';
beforeEach(() => {
  site = mkdtempSync(join(tmpdir(), 'fank-check-'));
});
afterEach(() => {
  rmSync(site, { recursive: true, force: true });
});

function check() {
  const cli = join(import.meta.dirname, '../../src/cli/fank.js');
  const args = [cli, 'check', '--site', site, '--json'];
  const { status, stdout } = spawnSync(process.execPath, args, { encoding: 'utf8' });
  const lines = stdout.trim().split('\n');
  return { status, found: lines.map((line) => JSON.parse(line) as Check) };
}

const of = (found: Check[], name: string): Check[] => found.filter((one) => one.check === name);

test('a new site: what is not yet there is said with what to do, and the answer is no', () => {
  const { status, found } = check();
  expect(status).toBe(1);
  expect(of(found, 'configuration')[0]?.ok).toBe(true);
  expect(of(found, 'weigh head')[0]).toMatchObject({ ok: false, said: 'no port is set' });
  expect(of(found, 'PINs')[0]?.remedy).toContain('fank pin');
  expect(of(found, 'day book')[0]?.ok).toBeNull();
  for (const one of found) if (one.ok === false) expect(one.remedy).not.toBe('');
});

test('a port that is not there, a bare ttyUSB and a broken plan are named', () => {
  check();
  const file = join(site, 'site.yaml');
  const text = readFileSync(file, 'utf8').replace('divisionKg', 'port: /dev/ttyUSB7\n  divisionKg');
  writeFileSync(file, text);
  const bare = check().found;
  expect(of(bare, 'weigh head')[0]?.said).toContain('/dev/ttyUSB7');
  expect(of(bare, 'configuration')[0]?.said).toMatch(/site\.yaml:\d+:\d+: .*by-id/);
  writeFileSync(join(site, 'plans/by-weight.yaml'), 'plan: 1\n');
  const { status, found } = check();
  expect(status).toBe(1);
  expect(of(found, 'configuration').some((one) => one.said.includes('by-weight.yaml'))).toBe(true);
});

test('listed tags are counted by whose code they carry; test tags are flagged', async () => {
  const tagsOf = async (tags: string[]): Promise<Check | undefined> => {
    const lines = tags.map((tag) => `Wormer,2026-11-01,10,${tag}`);
    writeFileSync(join(site, 'treatments.csv'), ['product,given,days,tag', ...lines].join('\n'));
    for await (const one of checks(site)) if (one.check === 'tags') return one;
    return undefined;
  };
  const real = ['826000000000001', '826000000000002', '985000000000003'];
  expect(await tagsOf(real)).toMatchObject({
    ok: true,
    said: 'country code 826: 2, maker code 985: 1',
  });
  const found = await tagsOf([...real, '999000000000004']);
  expect(found).toMatchObject({ ok: false, remedy: expect.stringContaining('practice') as string });
  expect(found?.said).toContain('test code 999: 1');
});

test('the last check with a known mass is said; one past the limits is not well', async () => {
  const massCheck = async (): Promise<Check | undefined> => {
    for await (const one of checks(site)) if (one.check === 'check weight') return one;
    return undefined;
  };
  expect(await massCheck()).toBeUndefined();
  const done = { massKg: 20, cornersKg: [], maxKg: 200, divisionKg: 0.1, who: null };
  const keep = (middleKg: number): void => {
    const at = { atMs: Date.UTC(2026, 8, 12, 8), clockSet: true };
    writeRows(site, [{ kind: 'check-weight', check: { ...done, middleKg }, wall: at }]);
  };
  keep(20.1);
  expect(await massCheck()).toMatchObject({ ok: true });
  keep(20.3);
  const last = await massCheck();
  expect(last).toMatchObject({ ok: false });
  expect(last?.said).toContain('+0.20 kg since the check before');
  expect(last?.said).toContain('Not for trade use');
});

test('the drop-out that was measured at the fitting proves the keep-alive, as long as the gate is as it was', async () => {
  const said = async (): Promise<boolean | null | undefined> => {
    for await (const one of checks(site)) if (one.check === 'keep-alive') return one.ok;
    return undefined;
  };
  loadSite(site);
  const file = join(site, 'site.yaml');
  writeFileSync(file, readFileSync(file, 'utf8').replace('board: simulated', 'board: pi-gpio'));
  const loaded = loadSite(site);
  if (!loaded.ok) throw new Error('the site does not load');
  const fitted = (but: string[], changed = {}): void => {
    const marks = { ...marksOf(loaded.value), ...changed };
    writeFileSync(join(site, FITTING_FILE), fittingText(complete(loaded.value.config, marks, but)));
  };
  expect(await said()).toBe(false);
  fitted([]);
  expect(await said()).toBe(true);
  fitted(['drop-out']);
  expect(await said()).toBe(false);
  fitted([], { gate: 'another' });
  expect(await said()).toBe(false);
});
