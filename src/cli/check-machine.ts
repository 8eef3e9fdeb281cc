/** The machine itself: clock and zone, card, supply, heat, Bluetooth, versions. */
import { existsSync, readdirSync, readFileSync, statfsSync } from 'node:fs';
import { release } from 'node:os';
import { join } from 'node:path';
import { startClock } from '../adapters/clock/clock.ts';
import { bad, good, unseen, type Check } from './check-line.ts';
import { version } from './version.ts';

/** Free space under which the card is called full, bytes. */
const LEAST_FREE = 500e6;
/** From here on a Raspberry Pi slows itself down, °C (its documents: 80; from memory). */
const HOT = 80;

/** The clock, and what it shows in the site's zone. */
export function clockCheck(zone: string | null): Check {
  const clock = startClock();
  const now = new Date(clock.wallNow());
  const local = zone === null ? '' : `, ${localTime(now, zone)} in ${zone}`;
  const said = `${now.toISOString()}${local}`;
  if (clock.isSet()) return good('clock', said);
  return bad(
    'clock',
    `${said}, and nothing vouches for it`,
    'Set the clock, or fit a clock module.',
  );
}

function localTime(now: Date, timeZone: string): string {
  return new Intl.DateTimeFormat('en-GB', {
    timeZone,
    dateStyle: 'short',
    timeStyle: 'short',
  }).format(now);
}

export function diskCheck(folder: string): Check {
  const { bavail, bsize } = statfsSync(existsSync(folder) ? folder : '.');
  const free = bavail * bsize;
  const said = `${Math.round(free / 1e6)} MB free`;
  return free >= LEAST_FREE ? good('disk', said) : bad('disk', said, 'Free space on the card.');
}

/** Bits of the firmware's throttling state: now, and (16 higher) since power-up. */
const TROUBLE = [
  { bit: 0, what: 'supply too low' },
  { bit: 1, what: 'speed capped' },
  { bit: 2, what: 'throttled' },
  { bit: 3, what: 'hot' },
] as const;

/** A Raspberry Pi's own word on its supply and speed. */
export function supplyCheck(file = '/sys/devices/platform/soc/soc:firmware/get_throttled'): Check {
  if (!existsSync(file)) return unseen('supply', 'this machine does not say');
  const bits = Number.parseInt(readFileSync(file, 'utf8'), 16);
  const has = (bit: number): boolean => Math.floor(bits / 2 ** bit) % 2 === 1;
  const now = TROUBLE.filter(({ bit }) => has(bit)).map(({ what }) => `${what} now`);
  const once = TROUBLE.filter(({ bit }) => has(bit + 16)).map(
    ({ what }) => `${what} since power-up`,
  );
  const found = [...now, ...once];
  if (found.length === 0) return good('supply', 'never too low or throttled since power-up');
  const remedy = 'Look at the supply and its cable; give the box shade and air.';
  return bad('supply', found.join(', '), remedy);
}

export function heatCheck(file = '/sys/class/thermal/thermal_zone0/temp'): Check {
  if (!existsSync(file)) return unseen('heat', 'this machine does not say');
  const celsius = Number(readFileSync(file, 'utf8')) / 1000;
  const said = `${celsius.toFixed(0)} °C`;
  return celsius < HOT ? good('heat', said) : bad('heat', said, 'Give the box shade and air.');
}

/**
 * The Bluetooth adapter of a weigh head.
 * @param held the running service has it, so that the system's own tools do not see it.
 */
export function bluetoothCheck(adapter: number, held: boolean, root = '/sys/class'): Check {
  const name = `hci${adapter}`;
  const folder = join(root, 'bluetooth', name);
  if (!existsSync(folder)) {
    const remedy = 'Plug it in, or set another scale.bluetooth.adapter in site.yaml.';
    return bad('bluetooth', `there is no adapter ${name}`, remedy);
  }
  if (isBlocked(folder)) {
    return bad('bluetooth', `${name} is switched off`, 'Run: sudo rfkill unblock bluetooth');
  }
  return held
    ? unseen('bluetooth', `${name} is there; the running service has it and says what it hears`)
    : good('bluetooth', `${name} is there and not switched off`);
}

function isBlocked(folder: string): boolean {
  const switches = readdirSync(folder).filter((name) => name.startsWith('rfkill'));
  return switches.some((name) =>
    ['soft', 'hard'].some((kind) => {
      const file = join(folder, name, kind);
      return existsSync(file) && readFileSync(file, 'utf8').trim() === '1';
    }),
  );
}

export function versionCheck(): Check {
  const [major = 0, minor = 0] = process.versions.node.split('.').map(Number);
  const said = `Fank ${version()}, Node ${process.version}, kernel ${release()} ${process.arch}`;
  return major > 20 || (major === 20 && minor >= 19)
    ? good('versions', said)
    : bad('versions', said, 'Install Node 20.19 or later.');
}
