/**
 * Runs inside the virtual machine: the weigh head's Bluetooth adapter on one controller of the kernel's
 * virtual pair, a weigh head in a process of its own on the other.
 */
import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { openBluetoothScale } from '../../src/adapters/scale/bluetooth.ts';
import type { BluetoothScale } from '../../src/config/bluetooth.ts';
import type { ScaleProfile } from '../../src/config/frames/schema.ts';
import { startHead, type Head } from './bluetooth-peer.ts';
import { HEAD_NAME, STREAM } from './bluetooth-wiring.ts';
import { check, end, pause, spread, until } from './check.ts';

const ROUNDS = Number(process.argv[2]);
const profile = JSON.parse(readFileSync('/t/profile.json', 'utf8')) as ScaleProfile;
const now = (): number => Math.round(performance.now());

/** Ways of losing the head and of getting it back; each gives the time of its return. */
const WAYS: ((head: Head) => Promise<[Head, number]>)[] = [
  (head) => {
    head.tell('drop');
    return Promise.resolve([head, now()]);
  },
  async (head) => {
    await head.die();
    await pause(200);
    return [await startHead(), now()];
  },
  async (head) => {
    head.tell('silent');
    await pause(4500);
    head.tell('speak');
    return [head, now()];
  },
  async (head) => {
    await head.die();
    await pause(6000);
    return [await startHead(), now()];
  },
];

async function tryHead(what: string, bluetooth: BluetoothScale, rounds: number): Promise<void> {
  let kgs: (number | null)[] = [];
  const links: boolean[] = [];
  let longestMs = 0;
  let turn = now();
  const turning = setInterval(() => {
    longestMs = Math.max(longestMs, now() - turn);
    turn = now();
  }, 10);
  let head = await startHead();
  let since = now();
  const scale = openBluetoothScale({
    bluetooth,
    profile: { ...profile, silenceMs: 2000 },
    now,
    onBytes: () => undefined,
    onReading: ({ kg }) => kgs.push(kg),
    onLink: (up) => links.push(up),
    onNote: (text) => console.log(`     ${text}`),
  });
  const backMs: number[] = [];
  const held = (): number => readdirSync('/proc/self/fd').length;
  let before = 0;
  for (let round = 0; round <= rounds; round++) {
    const [from, opened] = [kgs.length, scale.health().opened];
    if (round > 0) {
      const way = WAYS[(round - 1) % WAYS.length];
      if (way !== undefined) [head, since] = await way(head);
      await until(() => scale.health().opened > opened, 30_000);
    }
    const there = await until(() => kgs.length > from && scale.health().up, 30_000);
    if (!there) console.log(`     round ${round}: not back: ${scale.health().reason}`);
    else if (round === 0)
      console.log(`     ${what}: first reading ${now() - since} ms after opening`);
    else backMs.push(now() - since);
    const start = kgs.length;
    await until(() => kgs.length >= start + 10);
    if (round === 0) before = held();
  }
  const bad = kgs.filter((kg) => kg === null || kg < 40 || kg > 50).length;
  const health = scale.health();
  check(
    backMs.length === rounds && Math.max(...backMs) <= 15_000,
    `${what}: back ${backMs.length} of ${rounds} times, ${spread(backMs)} after the head was there again`,
  );
  check(
    bad === 0 && kgs.length > 10 * rounds,
    `${what}: ${kgs.length} readings, ${bad} of them wrong`,
  );
  check(
    held() <= before + 2,
    `${what}: descriptors ${before} -> ${held()}; opened ${health.opened} times, down ${links.filter((up) => !up).length}`,
  );
  // On a busy host the machine itself stands still for seconds, so this is said and not judged.
  console.log(`     ${what}: the program stood still for ${longestMs} ms at most`);
  kgs = [];
  clearInterval(turning);
  await scale.close();
  await head.die();
}

await until(() => existsSync('/sys/class/bluetooth/hci1'), 30_000);
// The kernel brings new controllers up for a moment and lets them rest after 2 s.
await pause(3000);
const base: BluetoothScale = { name: HEAD_NAME, adapter: 0, silenceMs: 2000 };
await tryHead('weight scale service', base, ROUNDS);
await pause(1000);
await tryHead('byte stream', { ...base, stream: STREAM }, Math.ceil(ROUNDS / 2));
end();
