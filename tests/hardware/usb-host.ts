/**
 * Outside the virtual machine: speaks as the weigh head through an emulated FTDI adapter, unplugs it in
 * mid-frame and plugs it in again, with another adapter taking its number in between.
 * `usb-host.ts FOLDER REPLUGS`: FOLDER is what the machine finds under /t.
 */
import { spawn } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { connect, type Socket } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { createInterface } from 'node:readline';
import { frame } from '../../simulator/frames.ts';
import { pause, until } from './check.ts';
import { CUT_KG, OTHER, OTHER_KG, SERIAL } from './usb-wiring.ts';

const [load = '', replugs = '25'] = process.argv.slice(2);
const sockets = mkdtempSync(join(tmpdir(), 'fank-usb-'));
const socket = (name: string): string => join(sockets, name);
const chardev = (id: string): string =>
  `-chardev socket,id=${id},path=${socket(id)},server=on,wait=off`;
const MACHINE = [
  '-device qemu-xhci,id=xhci',
  chardev('head'),
  chardev('other'),
  `-qmp unix:${socket('qmp')},server=on,wait=off`,
].join(' ');
const MODULES = ['usb-common', 'usbcore', 'xhci-hcd', 'xhci-pci', 'usbserial', 'ftdi_sio'];

const vm = spawn(join(import.meta.dirname, 'vm.sh'), [load, ...MODULES], {
  env: { ...process.env, MACHINE, CLOCK: 'real' },
  stdio: ['ignore', 'pipe', 'inherit'],
});
const said: string[] = [];
createInterface({ input: vm.stdout }).on('line', (line) => {
  if (line.startsWith('@')) said.push(line);
  else console.log(line);
});
const ended = new Promise<number>((resolve) => vm.once('exit', (code) => resolve(code ?? 99)));
const heard = (what: string): number => said.filter((line) => line.startsWith(`@${what}`)).length;

async function dial(name: string): Promise<Socket> {
  for (let i = 0; i < 600; i++) {
    const line = connect(socket(name));
    const open = await new Promise<boolean>((resolve) => {
      line.once('connect', () => resolve(true));
      line.once('error', () => resolve(false));
    });
    if (open) return line.on('error', () => undefined);
    await pause(100);
  }
  throw new Error(`no machine answers at ${name}`);
}

/** The machine's own control line: one command at a time. */
async function control(): Promise<(execute: string, args: object) => Promise<string>> {
  const line = await dial('qmp');
  const answers: string[] = [];
  const lines = createInterface({ input: line });
  // The machine hangs up when it is switched off.
  lines.on('error', () => undefined);
  lines.on('line', (text) => {
    if (text.includes('"return"') || text.includes('"error"')) answers.push(text);
  });
  const tell = async (execute: string, args: object): Promise<string> => {
    const count = answers.length;
    line.write(`${JSON.stringify({ execute, arguments: args })}\n`);
    await until(() => answers.length > count);
    return answers[count] ?? '';
  };
  await tell('qmp_capabilities', {});
  return tell;
}

const qmp = await control();
const [head, other] = [await dial('head'), await dial('other')];

/** A device just unplugged may hold its line for a moment more. */
async function plug(id: 'head' | 'other'): Promise<void> {
  const serial = id === 'head' ? SERIAL : OTHER;
  const device = { driver: 'usb-serial', chardev: id, id: `usb-${id}`, bus: 'xhci.0', serial };
  for (let i = 0; i < 100; i++) {
    if ((await qmp('device_add', device)).includes('"return"')) return;
    await pause(20);
  }
  throw new Error(`the ${id} adapter cannot be plugged in`);
}
const unplug = (id: 'head' | 'other'): Promise<string> => qmp('device_del', { id: `usb-${id}` });

let spoken = false;
let otherIn = false;
let count = 0;
setInterval(() => {
  if (spoken) head.write(frame(20 + (count++ % 300) / 10, count % 2 === 0));
  if (otherIn) other.write(frame(OTHER_KG, false));
}, 100).unref();

/** Plugs the other adapter in, so that it takes the number that was ours, or gives that back. */
async function swapOther(): Promise<void> {
  const count = heard(OTHER);
  if (otherIn) await unplug('other');
  else await plug('other');
  await until(() => heard(OTHER) > count);
  otherIn = !otherIn;
}

async function replug(n: number): Promise<void> {
  spoken = false;
  const cut = frame(CUT_KG, false);
  const at = 1 + (n % (cut.length - 2));
  const [gone, down] = [heard(`${SERIAL} gone`), heard('down')];
  head.write(cut.slice(0, at));
  await pause(30);
  await unplug('head');
  await until(() => heard(`${SERIAL} gone`) > gone);
  // The number is free when the port is closed; every other time nobody is given the time for it.
  if (!otherIn) await until(() => heard('down') > down);
  await swapOther();
  const back = heard('back');
  await plug('head');
  head.write(cut.slice(at));
  spoken = true;
  await until(() => heard('back') > back, 20_000);
  const word = said.filter((line) => line.startsWith('@back'))[back];
  console.log(`     replug ${n} after byte ${at}: ${word?.slice(1) ?? 'not back'}`);
  await pause(400);
}

await until(() => heard('ready') > 0, 120_000);
await plug('head');
spoken = true;
await until(() => heard('begin') > 0, 60_000);
for (let n = 1; n <= Number(replugs); n++) await replug(n);
const code = await ended;
rmSync(sockets, { recursive: true });
process.exit(code);
