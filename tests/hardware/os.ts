/**
 * The service as it is installed, under a real systemd: installing, updating, going back, and what
 * happens to the relays' lines when it dies or freezes in the middle of a stroke.
 */
import { spawn, spawnSync } from 'node:child_process';
import {
  appendFileSync,
  existsSync,
  mkdirSync,
  readdirSync,
  readFileSync,
  statSync,
  writeFileSync,
} from 'node:fs';
import type * as Sites from '../../src/config/load.ts';
import type * as Files from '../../src/fitting/file.ts';
import type { FittingState } from '../../src/fitting/state.ts';
import type * as Steps from '../../src/fitting/steps.ts';
import { contact, keepOutputs, moving, stayedStill, wire, wires } from './bench.ts';
import { check, end, pause, until } from './check.ts';
import { CONTACTS, KEEP_ALIVE, MOTION } from './wiring.ts';

const SITE = '/var/lib/fank';
const DIST = '/src/dist/src';
const PIN = '246813';
/** An emulated processor starts Node slowly. */
const PATIENCE_MS = 120_000;

function run(command: string, ...args: string[]): { status: number | null; said: string } {
  const { status, stdout, stderr } = spawnSync(command, args, { encoding: 'utf8' });
  return { status, said: `${stdout}${stderr}`.trim() };
}
const install = (...args: string[]) => run('bash', '/src/systemd/install.sh', ...args);
const property = (name: string): string =>
  run('systemctl', 'show', '-p', name, '--value', 'fank').said;
const active = (): boolean => run('systemctl', 'is-active', 'fank').said === 'active';
const release = (): string => run('readlink', '/opt/fank/current').said.replace(/.*\//, '');
const ended = (text: string): string => text.split('\n').at(-1) ?? '';

function seen(what: string, good: boolean, said: string): void {
  check(good, `${what}: ${ended(said)}`);
  if (good) return;
  console.log(said);
  console.log(run('journalctl', '-u', 'fank', '-n', '30', '--no-pager').said);
}

/** A site on the shipped board profile, fitted with no weigh head: by hand and homing work. */
function makeSite(): void {
  mkdirSync(`${SITE}/plans`, { recursive: true });
  writeFileSync(
    `${SITE}/site.yaml`,
    `site: 1
zone: Europe/London
plan: by-weight
profiles: { scale: plain-continuous, board: pi-gpio, gate: three-way, crate: hand-gates }
page: { host: 127.0.0.1, port: 8080 }
keepAliveProved: 2026-09-14
`,
  );
  writeFileSync(
    `${SITE}/plans/by-weight.yaml`,
    `plan: 1
name: By weight
animals: { fromKg: 12, toKg: 65 }
lots:
  - { name: Stores, exit: left, belowKg: 40 }
  - { name: Fit, exit: ahead, belowKg: 45 }
  - { name: Heavy, exit: right }
decide: { hysteresisKg: 0.3, settle: { withinKg: 0.5, forMs: 1000 }, confidence: 0.995, callAfterMs: 5000 }
unsure: hold
`,
  );
}

/** The fitting of the site is done and signed, so that the race may be started. */
async function fitSite(): Promise<void> {
  const { loadSite } = (await import(`${DIST}/config/load.js`)) as typeof Sites;
  const { stepsOf } = (await import(`${DIST}/fitting/steps.js`)) as typeof Steps;
  const { fittingText, marksOf } = (await import(`${DIST}/fitting/file.js`)) as typeof Files;
  const site = loadSite(SITE);
  if (!site.ok) throw new Error('the site does not load');
  const marks = marksOf(site.value);
  const by = { who: 'A. Fitter', atMs: Date.now(), clockSet: true };
  const results = stepsOf(site.value.config, false).flatMap((step) =>
    step.items.map((item) => [
      item.id,
      { ok: true, value: true, mark: step.mark && marks[step.mark], ...by },
    ]),
  );
  const state: FittingState = {
    fitting: 1,
    results: Object.fromEntries(results) as FittingState['results'],
    signed: { marks, open: [], ...by },
    yard: null,
    boots: [],
  };
  writeFileSync(`${SITE}/fitting.json`, fittingText(state));
}

/**
 * The drop-out relay and whoever resets it: the rail is live while the keep-alive's wire goes on turning over. A
 * process of its own, since this one waits for others' ends.
 */
async function beRail(): Promise<never> {
  let level = wire(KEEP_ALIVE);
  let turnedAt = -Infinity;
  for (;;) {
    const seen = wire(KEEP_ALIVE);
    if (seen !== level) turnedAt = performance.now();
    level = seen;
    contact('actuatorPower', performance.now() - turnedAt < 150);
    await pause(10);
  }
}

async function ask(path: string, body: object, cookie = ''): Promise<Response> {
  return fetch(`http://127.0.0.1:8080${path}`, {
    method: 'POST',
    headers: { 'content-type': 'application/json', cookie },
    body: JSON.stringify(body),
  });
}

/** Signs in and starts the race: the leaves home. */
async function start(): Promise<void> {
  const signedIn = await ask('/api/sign-in', { pin: PIN });
  const cookie = signedIn.headers
    .getSetCookie()
    .map((one) => one.split(';')[0])
    .join('; ');
  for (const command of [{ do: 'start' }, { do: 'confirm' }]) {
    const answer = await ask('/api/command', command, cookie);
    if (!answer.ok) console.log(`refused: ${await answer.text()}`);
  }
}

async function driving(): Promise<void> {
  await until(() => active(), PATIENCE_MS);
  // The service's own pull-ups have opened every contact of the simulated chip.
  for (const name of ['frontShut', 'laneClear', 'stopLoop'] as const) contact(name, true);
  await pause(1000);
  await start();
  if (!(await until(moving, 10_000))) check(false, 'a leaf moves after a start');
}

/** Kills or freezes the service in the middle of a stroke, and waits until it is back. */
async function die(signal: 'SIGKILL' | 'SIGSTOP', most: number): Promise<void> {
  await driving();
  const pid = Number(property('MainPID'));
  const begin = performance.now();
  process.kill(pid, signal);
  const off = await until(() => !moving(), most);
  const offMs = performance.now() - begin;
  const back = await until(() => active() && property('MainPID') !== String(pid), PATIENCE_MS);
  const backMs = performance.now() - begin;
  check(
    off,
    `${signal} in mid-stroke, outputs kept by the kernel: off after ${offMs.toFixed(0)} ms`,
  );
  check(back, `   up again after ${(backMs / 1000).toFixed(1)} s`);
  check(await stayedStill(3000), `   nothing moves before a fresh start: ${wires(MOTION)}`);
}

function installing(): void {
  let answer = install();
  seen('installed', answer.status === 0 && active(), answer.said);
  const pins = [...answer.said.matchAll(/^(?:operator|installer): (\d+)$/gm)].map(
    (one) => one[1] ?? '',
  );
  const journal = run('journalctl', '--no-pager', '-o', 'cat').said;
  const kept = pins.some((pin) => journal.includes(pin));
  check(pins.length === 2 && !kept, 'two PINs are shown, and neither is in the journal');
  check(
    run('stat', '-c', '%G %a', '/dev/gpiochip0').said === 'gpio 660',
    'the lines belong to the group gpio',
  );
  check(
    property('User') === 'fank' && property('NRestarts') === '0',
    'runs as fank, up at the first try',
  );
  answer = install();
  seen(
    'installed again',
    answer.status === 0 && answer.said.includes('nothing to do'),
    answer.said,
  );
  answer = run('runuser', '-u', 'fank', '--', 'fank', 'check', '--site', SITE);
  console.log(answer.said.replaceAll(/^/gm, '       '));
}

async function updating(): Promise<void> {
  const first = release();
  appendFileSync('/src/dist/src/cli/main.js', '\n// another\n');
  await driving();
  let answer = install();
  seen('refused while the race runs', answer.status === 1 && release() === first, answer.said);
  await ask('/api/stop', {});
  await until(() => !moving());
  answer = install();
  const second = release();
  seen('updated', answer.status === 0 && active() && second !== first, answer.said);
  const backups = existsSync(`${SITE}/backups`) ? readdirSync(`${SITE}/backups`) : [];
  check(backups.length === 1, `   with a backup before: ${backups.join(' ')}`);
  const program = '/src/dist/src/cli/main.js';
  const sound = readFileSync(program, 'utf8');
  writeFileSync(program, `throw new Error("spoilt");\n${sound}`);
  answer = install();
  writeFileSync(program, sound);
  seen(
    'a release that does not come up',
    answer.status === 1 && active() && release() === second,
    answer.said,
  );
  answer = install('--rollback');
  seen('back by hand', answer.status === 0 && active() && release() === first, answer.said);
}

/** The lines are free now; the chip's pull-ups make every contact a broken wire. */
function checking(): void {
  const { said } = run('runuser', '-u', 'fank', '--', 'fank', 'check', '--site', SITE);
  const line = (name: string): string =>
    said.split('\n').find((one) => one.includes(` ${name}: `)) ?? said;
  const board = line('board');
  check(/^ok .*lines free, inputs read, every output off/.test(board), `fank check: ${board}`);
  const inputs = line('inputs at rest');
  check(/^NO .*frontShut off.*laneClear off.*stopLoop off/.test(inputs), `   ${inputs}`);
  check(!moving(), '   no motion line was on after it');
}

/** A weigh head over Bluetooth needs two rights, which come with it and go with it. */
function radio(): void {
  const file = `${SITE}/site.yaml`;
  const before = readFileSync(file, 'utf8');
  const rights = (): string => property('AmbientCapabilities');
  const has = (): boolean => /cap_net_admin/i.test(rights()) && /cap_net_raw/i.test(rights());
  writeFileSync(file, `${before}scale: { bluetooth: { name: Pen scale } }\n`);
  let answer = install();
  seen('with a head over Bluetooth', answer.status === 0 && active() && has(), rights());
  writeFileSync(file, before);
  answer = install();
  const gone = !has() && !existsSync('/etc/systemd/system/fank.service.d/bluetooth.conf');
  seen('without it again', answer.status === 0 && active() && gone, `rights: ${rights()}`);
}

if (process.argv[2] === 'rail') await beRail();
for (const name of Object.keys(CONTACTS)) contact(name as keyof typeof CONTACTS, true);
run(
  'useradd',
  '--system',
  '--user-group',
  '--home-dir',
  SITE,
  '--shell',
  '/usr/sbin/nologin',
  'fank',
);
makeSite();
await fitSite();
run('chown', '-R', 'fank:fank', SITE);
const rail = spawn(process.execPath, [process.argv[1] ?? '', 'rail'], { stdio: 'inherit' });
installing();
run('runuser', '-u', 'fank', '--', 'fank', 'pin', '--site', SITE, '--set', PIN);
check((statSync(`${SITE}/secrets.json`).mode & 0o077) === 0, 'PINs are for the service alone');
keepOutputs(true);
await die('SIGKILL', 10_000);
await die('SIGSTOP', 20_000);
await updating();
radio();
run('systemctl', 'stop', 'fank');
check(!active() && !moving(), 'stopped: every motion line is off');
checking();
rail.kill();
end();
