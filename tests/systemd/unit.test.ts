import { spawnSync } from 'node:child_process';
import { existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, test } from 'vitest';

const FOLDER = join(import.meta.dirname, '../../systemd');
const UNIT = readFileSync(join(FOLDER, 'fank.service'), 'utf8');
const BLUETOOTH = readFileSync(join(FOLDER, 'bluetooth.conf'), 'utf8');
/** Where nobody looks on, a missing tool is a failure. */
const canAnalyze = existsSync('/usr/bin/systemd-analyze') || process.env['CI'] === 'true';

const scratch = mkdtempSync(join(tmpdir(), 'fank-unit-'));
afterAll(() => {
  rmSync(scratch, { recursive: true, force: true });
});

/** The unit as this machine can judge it: with the Node that runs here. */
function unit(text = UNIT): string {
  const file = join(scratch, 'fank.service');
  writeFileSync(file, text.replaceAll('/usr/bin/node', process.execPath));
  return file;
}

function analyze(...args: string[]) {
  const { status, stdout, stderr } = spawnSync('systemd-analyze', args, { encoding: 'utf8' });
  return { status, said: `${stdout}${stderr}` };
}

describe.runIf(canAnalyze)('the unit, by systemd-analyze', () => {
  // It exits 0 on warnings: whatever it says is a failure.
  test('has nothing to be said against it', () => {
    expect(analyze('verify', '--man=no', unit())).toEqual({ status: 0, said: '' });
    const broken = unit(UNIT.replace('Restart=always', 'Restart=allways'));
    expect(analyze('verify', '--man=no', broken).said).toMatch(/allways/);
  });

  test('is exposed by 2.0 at the most', () => {
    const judge = (file: string) => analyze('security', '--offline=true', '--threshold=20', file);
    const { status, said } = judge(unit());
    expect(said.slice(-80)).toMatch(/Overall exposure level .*: [01]\.\d/);
    expect(status).toBe(0);
    const open = UNIT.replaceAll(/^(Protect|Restrict).*$/gm, '');
    expect(judge(unit(open)).status).not.toBe(0);
  });
});

describe.runIf(canAnalyze)('with the drop-in for a weigh head over Bluetooth', () => {
  // Of a list the last empty assignment begins anew, so that the unit's own lines come first.
  const whole = `${UNIT.replace(/\n\[Install\][^]*$/, '')}\n${BLUETOOTH}`;

  test('there is nothing to be said against it, and the exposure stays at 2.0 or less', () => {
    expect(analyze('verify', '--man=no', unit(whole))).toEqual({ status: 0, said: '' });
    const file = unit(whole);
    const { status, said } = analyze('security', '--offline=true', '--threshold=20', file);
    expect(said.slice(-80)).toMatch(/Overall exposure level .*: [12]\.\d/);
    expect(status).toBe(0);
  });
});

test('without Bluetooth the service has none of its rights, with it two and no more', () => {
  expect(UNIT).toMatch(/^CapabilityBoundingSet=$/m);
  expect(UNIT).not.toContain('AF_BLUETOOTH');
  expect(BLUETOOTH.match(/CAP_\w+/g)?.sort()).toEqual(
    ['CAP_NET_ADMIN', 'CAP_NET_RAW'].flatMap((name) => [name, name]),
  );
});

test('a release is started again for ever, slowly, and its lines are cleared when it has died', () => {
  expect(UNIT).toMatch(/^StartLimitIntervalSec=0$/m);
  expect(UNIT).toMatch(/^RestartSec=3$/m);
  expect(UNIT).toMatch(/^ExecStopPost=.* release --site \/var\/lib\/fank$/m);
});

test('the install script is a sound shell script and says its use', () => {
  const script = join(FOLDER, 'install.sh');
  expect(spawnSync('bash', ['-n', script]).status).toBe(0);
  const { status, stderr } = spawnSync('bash', [script, '--sideways'], { encoding: 'utf8' });
  expect([status, stderr]).toEqual([2, expect.stringContaining('Usage: ')]);
});
