/** The install script on a made-up machine: its folders elsewhere, its tools stand-ins that do nothing. */
import { execFile } from 'node:child_process';
import {
  chmodSync,
  cpSync,
  existsSync,
  mkdirSync,
  mkdtempSync,
  readFileSync,
  readlinkSync,
  rmSync,
  symlinkSync,
  writeFileSync,
} from 'node:fs';
import { createServer, type Server } from 'node:http';
import type { AddressInfo } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, test } from 'vitest';

const FOLDER = join(import.meta.dirname, '../../systemd');
const IDLE = [true];

let at = '';
let server: Server;
/** What the service answers, one after another; the last again and again. */
let idle: boolean[] = [];
beforeEach(async () => {
  at = mkdtempSync(join(tmpdir(), 'fank-install-'));
  idle = IDLE;
  server = createServer((_, reply) => {
    const now = idle[0] ?? true;
    idle = idle.length > 1 ? idle.slice(1) : idle;
    reply.end(JSON.stringify({ idle: now }));
  });
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve));
  const { port } = server.address() as AddressInfo;
  file('site/site.yaml', `page:\n  port: ${String(port)}\n`);
  file('site/secrets.json', '{}');
  for (const tool of ['npm', 'chown', 'usermod', 'getent', 'udevadm']) stub(tool, 'exit 0');
  stub('id', 'echo 0');
  stub(
    'install',
    'n=(); while [ $# -gt 0 ]; do case $1 in -o|-g) shift 2;; *) n+=("$1"); shift;; esac; done; /usr/bin/install "${n[@]}"',
  );
  stub(
    'systemctl',
    `echo "$*" >> ${at}/told; case $1 in is-active) [ -e ${at}/up ];;
    restart) rm -f ${at}/up; [ ! -e ${at}/opt/current/dist/broken ] && touch ${at}/up;; esac`,
  );
  file('up', '');
});
afterEach(() => {
  server.close();
  rmSync(at, { recursive: true, force: true });
});

function file(name: string, text: string): void {
  mkdirSync(join(at, name, '..'), { recursive: true });
  writeFileSync(join(at, name), text);
}
function stub(tool: string, does: string): void {
  file(`tools/${tool}`, `#!/bin/bash\n${does}\n`);
  chmodSync(join(at, 'tools', tool), 0o755);
}

/** A release that is there, whose unit and rules carry its name. */
function release(name: string): string {
  const folder = join(at, 'opt/releases', name);
  marked(`opt/releases/${name}`, name);
  return folder;
}
function marked(folder: string, name: string): void {
  for (const one of ['fank.service', '70-fank.rules', 'journald.conf', 'bluetooth.conf'])
    file(`${folder}/systemd/${one}`, `# ${name}\n`);
}
const placed = (): string[] =>
  ['systemd/system/fank.service', 'udev/rules.d/70-fank.rules', 'systemd/journald.conf.d/fank.conf']
    .map((one) => join(at, 'etc', one))
    .map((one) => (existsSync(one) ? readFileSync(one, 'utf8').trim() : 'none'));
const all = (name: string): string[] => Array.from({ length: 3 }, () => `# ${name}`);
const link = (name: string): string =>
  readlinkSync(join(at, 'opt', name))
    .split('/')
    .at(-1) ?? '';
const restarts = (): number =>
  readFileSync(join(at, 'told'), 'utf8')
    .split('\n')
    .filter((one) => one === 'restart fank').length;

/** Runs the script of the source folder, which is a copy with this machine's paths. */
function run(...args: string[]): Promise<{ status: number; said: string }> {
  const moved: [string, string][] = [
    ['/opt/fank', `${at}/opt`],
    ['/var/lib/fank', `${at}/site`],
    ['/etc/', `${at}/etc/`],
    ['/usr/local/bin', `${at}/bin`],
    ['/usr/bin/node', process.execPath],
    ['/proc/device-tree', `${at}/proc`],
  ];
  const text = readFileSync(join(FOLDER, 'install.sh'), 'utf8');
  file(
    'source/systemd/install.sh',
    moved.reduce((s, [a, b]) => s.replaceAll(a, b), text),
  );
  const env = { ...process.env, PATH: `${at}/tools:${process.env['PATH'] ?? ''}` };
  return new Promise((resolve) => {
    execFile(
      'bash',
      [join(at, 'source/systemd/install.sh'), ...args],
      { env },
      (error, _, said) => {
        resolve({ status: error === null ? 0 : Number(error.code), said });
      },
    );
  });
}

/** Two releases, the second of which runs. */
function two(): void {
  symlinkSync(release('one'), join(at, 'opt/before'));
  symlinkSync(release('two'), join(at, 'opt/current'));
  for (const [from, to] of [
    ['fank.service', 'systemd/system/fank.service'],
    ['70-fank.rules', 'udev/rules.d/70-fank.rules'],
    ['journald.conf', 'systemd/journald.conf.d/fank.conf'],
  ] as const)
    cpSync(join(at, 'opt/current/systemd', from), join(at, 'etc', to), { recursive: true });
}

/** A source that is built, and whether its program comes up. */
function source(comesUp: boolean): void {
  marked('source', 'three');
  for (const name of ['dist/src/cli/main.js', 'hardware-profiles/x', 'package-lock.json'])
    file(`source/${name}`, 'x');
  for (const name of ['README.md', 'LICENSE', 'docs/x', 'node_modules/x', 'src/cli/fank.js'])
    file(`source/${name}`, 'x');
  file('source/package.json', '{"version":"3"}');
  if (!comesUp) file('source/dist/broken', '');
}

test('back to the release before is back to its unit and rules too', async () => {
  two();
  expect(await run('--rollback')).toMatchObject({ status: 0 });
  expect([link('current'), link('before'), restarts()]).toEqual(['one', 'two', 1]);
  expect(placed()).toEqual(all('one'));
});

test('an update brings its own; one that does not come up takes them back with it', async () => {
  two();
  source(false);
  const { status, said } = await run();
  expect([status, said]).toEqual([1, expect.stringContaining('Back to two')]);
  expect([link('current'), placed()]).toEqual(['two', all('two')]);
  expect(readFileSync(join(at, 'told'), 'utf8')).toContain('daemon-reload');
  rmSync(join(at, 'source/dist/broken'));
  expect(await run()).toMatchObject({ status: 0 });
  expect([link('current'), link('before'), placed()]).toEqual([
    expect.stringMatching(/^3-/),
    'two',
    all('three'),
  ]);
  const again = await run();
  expect([again.status, again.said]).toEqual([0, expect.stringContaining('nothing to do')]);
}, 60_000);

test('an animal that comes on meanwhile: nothing is started again, and all is as it was', async () => {
  two();
  source(true);
  idle = [true, true, false];
  const { status, said } = await run();
  expect([status, said]).toEqual([1, expect.stringContaining('no longer idle')]);
  expect([link('current'), placed(), restarts()]).toEqual(['two', all('two'), 0]);
  idle = [true, false];
  expect(await run('--rollback')).toMatchObject({ status: 1 });
  expect([link('current'), link('before'), placed()]).toEqual(['two', 'one', all('two')]);
  expect(restarts()).toBe(0);
  idle = [false];
  expect(await run('--rollback')).toMatchObject({ status: 1 });
  expect(link('current')).toBe('two');
}, 60_000);
