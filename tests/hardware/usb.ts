/**
 * Runs inside the virtual machine: the weigh head's adapter on the kernel's own driver of a USB serial
 * adapter, which the outside unplugs in mid-frame and plugs in again. Lines for the outside begin
 * with `@`.
 */
import { mkdirSync, readdirSync, readFileSync, readlinkSync, rmSync, symlinkSync } from 'node:fs';
import { openSerialScale } from '../../src/adapters/scale/serial.ts';
import type { ScaleProfile } from '../../src/config/frames/schema.ts';
import { check, end, pause, spread, until } from './check.ts';
import { CUT_KG, OTHER, OTHER_KG, SERIAL } from './usb-wiring.ts';

const REPLUGS = Number(process.argv[2]);
const BY_ID = '/t/by-id';
const NAME = `${BY_ID}/usb-${SERIAL}-port0`;
const LOOK_MS = 5;

/** Every adapter's device by its serial number, e.g. `{ HEAD1: 'ttyUSB1' }`. */
function devices(): Record<string, string> {
  const found: Record<string, string> = {};
  for (const name of readdirSync('/dev').filter((one) => one.startsWith('ttyUSB'))) {
    try {
      const file = `/sys/class/tty/${name}/device/../../serial`;
      found[readFileSync(file, 'latin1').trim()] = name;
    } catch {
      // It has just gone.
    }
  }
  return found;
}

/** Keeps the lasting name as udev does, which this machine has not; tells when it is there anew. */
function keepName(there: (path: string) => void): NodeJS.Timeout {
  let last: Record<string, string> = {};
  mkdirSync(BY_ID);
  return setInterval(() => {
    const now = devices();
    for (const serial of [SERIAL, OTHER]) {
      if (now[serial] !== last[serial]) console.log(`@${serial} ${now[serial] ?? 'gone'}`);
    }
    const [before, name] = [last[SERIAL], now[SERIAL]];
    last = now;
    if (name === before) return;
    rmSync(NAME, { force: true });
    if (name === undefined) return;
    symlinkSync(`/dev/${name}`, NAME);
    there(name);
  }, LOOK_MS);
}

interface Held {
  files: string[];
  handles: string[];
  mb: number;
}

/** What the process holds: the least that is seen within two seconds, since reads come and go. */
async function held(): Promise<Held> {
  const seen: Held[] = [];
  for (let i = 0; i < 100; i++) {
    await pause(20);
    const files = readdirSync('/proc/self/fd').map((fd) => target(`/proc/self/fd/${fd}`));
    const mb = Math.round(process.memoryUsage().rss / 1e6);
    seen.push({ files, handles: process.getActiveResourcesInfo(), mb });
  }
  seen.sort((a, b) => a.files.length - b.files.length || a.handles.length - b.handles.length);
  return seen[0] ?? { files: [], handles: [], mb: 0 };
}

function target(link: string): string {
  try {
    return readlinkSync(link).replace(/\d+/g, '');
  } catch {
    return '';
  }
}

const profile = JSON.parse(readFileSync('/t/profile.json', 'utf8')) as ScaleProfile;
const now = (): number => Math.round(performance.now());
const backMs: number[] = [];
const ports: string[] = [];
const strange: (number | null)[] = [];
let pluggedAt: number | null = null;
let port = '';
let downs = 0;

const scale = openSerialScale({
  path: NAME,
  profile,
  now,
  onBytes: () => undefined,
  onReading({ t, kg }) {
    if (kg === null || kg === CUT_KG || kg === OTHER_KG) strange.push(kg);
    if (pluggedAt === null) return;
    backMs.push(t - pluggedAt);
    ports.push(port);
    console.log(`@back as ${port} after ${t - pluggedAt} ms`);
    pluggedAt = null;
  },
  onLink: (up) => {
    if (up) return;
    downs += 1;
    console.log('@down');
  },
  onNote: () => undefined,
});
const timer = keepName((name) => {
  pluggedAt = now();
  port = name;
});

console.log('@ready');
await until(() => backMs.length === 1, 60_000);
const before = await held();
console.log('@begin');
const all = await until(() => backMs.length > REPLUGS, REPLUGS * 30_000);
const after = await held();
const health = scale.health();
check(
  all && Math.max(...backMs) <= 2000,
  `${backMs.length - 1} of ${REPLUGS} unplugs and replugs in mid-frame, back after ${spread(backMs)}`,
);
const moved = ports.filter((name, i) => i > 0 && name !== ports[i - 1]).length;
check(
  moved >= REPLUGS - 2,
  `another number behind the same name ${moved} times (${[...new Set(ports)].sort().join(', ')})`,
);
check(
  strange.length === 0,
  `${health.frames} whole frames; of cut ones and of another adapter's ${strange.length} readings`,
);
check(
  after.files.length <= before.files.length &&
    after.handles.length <= before.handles.length &&
    after.mb < before.mb + 30,
  `nothing leaks: descriptors ${before.files.length} -> ${after.files.length}, timers and handles ${before.handles.length} -> ${after.handles.length}, resident ${before.mb} -> ${after.mb} MB`,
);
check(
  downs >= REPLUGS / 2,
  `the link was called down ${downs} times; opened ${health.opened} times`,
);
clearInterval(timer);
await scale.close();
end();
