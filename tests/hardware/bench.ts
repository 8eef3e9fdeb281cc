/** What the parts of the hardware test share: the wires of the simulated chip, the service. */
import { spawn, type ChildProcess } from 'node:child_process';
import { readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { createInterface } from 'node:readline';
import { pause, until } from './check.ts';
import { CONTACTS, MOTION } from './wiring.ts';

const platform = '/sys/devices/platform';
const device = readdirSync(platform).find((name) => name.startsWith('gpio-sim.')) ?? '';
const chip = readdirSync(`${platform}/${device}`).find((name) => name.startsWith('gpiochip')) ?? '';
const line = (n: number, file: string): string =>
  `${platform}/${device}/${chip}/sim_gpio${n}/${file}`;

/** The level on the wire, seen from outside the process that drives it. */
export const wire = (n: number): boolean =>
  readFileSync(line(n, 'value'), 'latin1').startsWith('1');
export const wires = (numbers: number[]): string => numbers.map((n) => (wire(n) ? 1 : 0)).join('');
export const pull = (n: number, up: boolean): void =>
  writeFileSync(line(n, 'pull'), up ? 'pull-up' : 'pull-down');
export const moving = (): boolean => MOTION.some(wire);

/** A contact's wire: a closed one pulls the line low, as an opto-coupler does. */
export function contact(name: keyof typeof CONTACTS, closed: boolean): void {
  pull(CONTACTS[name], !closed);
}

/** Whether lines stay driven when their holder is gone. */
export function keepOutputs(keep: boolean): void {
  writeFileSync('/sys/module/gpio_sim/parameters/persist', keep ? 'Y' : 'N');
}

export interface Said {
  kind: string;
  animal?: number;
  mode?: string;
  fault?: string;
  on?: boolean;
}

export interface Service {
  process: ChildProcess;
  said: Said[];
  tell(command: object): void;
  /** Waits for a mode, 10 s at most; false where it did not come. */
  mode(mode: string): Promise<boolean>;
  ended: Promise<void>;
}

/** Starts a service and shows it a shut front, a clear lane, a healthy stop loop and a live rail. */
export async function startService(command: string[] = ['/t/service.mjs']): Promise<Service> {
  const child = spawn(process.execPath, command, { stdio: ['pipe', 'pipe', 'inherit'] });
  const said: Said[] = [];
  createInterface({ input: child.stdout }).on('line', (text) => {
    said.push(JSON.parse(text) as Said);
  });
  const ended = new Promise<void>((resolve) => child.once('exit', () => resolve()));
  const mode = async (name: string): Promise<boolean> => until(() => lastMode(said) === name);
  // An emulated processor on a busy machine takes its time to start Node.
  if (!(await until(() => said.some((one) => one.kind === 'ready'), 60_000))) {
    throw new Error('the service did not start');
  }
  for (const name of Object.keys(CONTACTS)) contact(name as keyof typeof CONTACTS, true);
  await pause(300);
  return {
    process: child,
    said,
    tell: (command) => child.stdin.write(`${JSON.stringify(command)}\n`),
    mode,
    ended,
  };
}

/** The mode that was said last. */
export const lastMode = (said: Said[]): string =>
  said.findLast((one) => one.kind === 'mode')?.mode ?? '';

/** Watches for so long whether any motion output is on. */
export async function stayedStill(ms: number): Promise<boolean> {
  const begin = performance.now();
  let still = true;
  while (performance.now() - begin < ms) {
    if (moving()) still = false;
    await pause(2);
  }
  return still;
}
