import { readdir, readFile, readlink, realpath, stat } from 'node:fs/promises';
import { basename, join, resolve } from 'node:path';

const BY_ID = '/dev/serial/by-id';
const BY_PATH = '/dev/serial/by-path';

/** Names of ports that stay when adapters are plugged in another order; empty where there are none. */
export async function stablePorts(folder = BY_ID): Promise<string[]> {
  try {
    return (await readdir(folder)).sort().map((name) => join(folder, name));
  } catch {
    return [];
  }
}

/**
 * What is wrong with choosing `path`, or null: a bare `/dev/ttyUSB0` may be another device after
 * the next start or replug.
 */
export async function portWarning(
  path: string,
  folders = [BY_ID, BY_PATH],
): Promise<string | null> {
  if (!/^\/dev\/tty(USB|ACM)\d+$/.test(path)) return null;
  const warning = `${path} may be another device after the next start or replug.`;
  for (const folder of folders)
    for (const stable of await stablePorts(folder))
      if (resolve(folder, await readlink(stable).catch(() => '')) === path)
        return `${warning} Use its lasting name: ${stable}.`;
  return `${warning} No lasting name was found under ${folders.join(' or ')}.`;
}

/** Why a port could not be opened and what to do, in words. */
export async function portTrouble(path: string, error: Error): Promise<string> {
  const { message } = error;
  if (/no such (file|device)|ENOENT|ENXIO|ENODEV/i.test(message)) return missing(path);
  if (/permission denied|EACCES|EPERM/i.test(message)) return denied(path);
  if (/cannot lock|temporarily unavailable|busy|EBUSY/i.test(message)) return taken(path);
  return `${path} cannot be opened (${message}). Check that it is a serial port.`;
}

async function missing(path: string): Promise<string> {
  const there = await stablePorts();
  const choice =
    there.length === 0 ? 'No serial adapter is plugged in.' : `Plugged in: ${there.join(', ')}.`;
  return `${path} is not there. Check the cable and the adapter. ${choice}`;
}

async function denied(path: string): Promise<string> {
  const group = await groupOf(path);
  const add = `sudo usermod -aG ${group} $USER`;
  return `This user may not open ${path}. Join the group ${group}: ${add}, then log in again.`;
}

/** The group that owns the device; `dialout` on Debian where it cannot be told. */
async function groupOf(path: string): Promise<string> {
  try {
    const { gid } = await stat(path);
    const groups = await readFile('/etc/group', 'utf8');
    const line = groups.split('\n').find((text) => text.split(':')[2] === String(gid));
    const name = line?.split(':')[0];
    return gid === 0 || name === undefined ? 'dialout' : name;
  } catch {
    return 'dialout';
  }
}

async function taken(path: string): Promise<string> {
  const device = await realpath(path).catch(() => path);
  const holders = await holdersOf(device);
  if (holders.length === 0)
    return `${path} is taken by another program, which this user may not see. Find it: sudo fuser -v ${device}.`;
  return `${path} is taken by ${holders.join(' and ')}. Stop it or choose another port.`;
}

/** The programs that have `device` open, as far as this user may see. */
async function holdersOf(device: string): Promise<string[]> {
  const pids = (await readdir('/proc').catch(() => [])).filter((name) => /^\d+$/.test(name));
  const found = await Promise.all(pids.map((pid) => holds(pid, device)));
  return found.filter((text) => text !== null);
}

async function holds(pid: string, device: string): Promise<string | null> {
  try {
    const folder = `/proc/${pid}/fd`;
    const links = (await readdir(folder)).map((fd) => readlink(join(folder, fd)).catch(() => null));
    if (!(await Promise.all(links)).includes(device)) return null;
    const comm = await readFile(`/proc/${pid}/comm`, 'utf8').catch(() => 'a program');
    return `${basename(comm.trim())} (process ${pid}${Number(pid) === process.pid ? ', this one' : ''})`;
  } catch {
    return null;
  }
}
