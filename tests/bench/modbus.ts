/**
 * A Modbus RTU board on a pty, `npx tsx tests/bench/modbus.ts [times]`: how long until a changed contact is read and
 * until a relay that is asked for is on, and from one direction's coil off to the other's on. The port is set to
 * 115,200 baud, but a pty has no time on the wire. The other end is the library's own server, which looks at its bytes
 * every 4 ms.
 */
import { modbusBench, until } from '../adapters/relays/modbus-bench.ts';

const times = Number(process.argv[2] ?? 300);
const REVERSALS = 20;
const LOST = 40;
let bench = await modbusBench({ timeoutMs: 100 });
await until('the board is up', () => bench.board.write({}));

async function timed(what: string, change: (n: number) => () => boolean): Promise<void> {
  const took: number[] = [];
  for (let n = 0; n < times; n += 1) {
    // At no fixed place in the round of questions.
    await new Promise((go) => setTimeout(go, (n * 7) % 31));
    const seen = change(n);
    const begin = performance.now();
    while (!seen()) await new Promise((go) => setImmediate(go));
    took.push(performance.now() - begin);
  }
  took.sort((a, b) => a - b);
  const at = (share: number): string =>
    (took[Math.min(times - 1, Math.floor(times * share))] ?? NaN).toFixed(1);
  console.log(`${what}, ms: p50 ${at(0.5)}, p99 ${at(0.99)}, worst ${at(1)} (${times} times)`);
}

await timed('a contact changes to being read', (n) => {
  bench.discretes = [n % 2 === 0, false, true];
  return () => bench.board.read()?.['frontShut'] === (n % 2 === 0);
});
await timed('a relay asked for to being on', (n) => {
  const level = n % 2 === 0;
  return () => {
    bench.board.write({ 'leafA.extend': level });
    return bench.coils[0] === level;
  };
});

/** One answer of the contacts or of the coils' reading back does not come: are the contacts too old then? */
async function oneLost(timeoutMs: number): Promise<void> {
  await bench.close();
  bench = await modbusBench({ timeoutMs });
  await until('the board is up', () => bench.board.write({}));
  const gone = new Set<number>();
  for (let n = 0; n < LOST; n += 1) {
    let left = 1;
    const code = n % 2 === 0 ? 2 : 1;
    bench.spoil = (bytes) => (bytes[1] === code && left-- > 0 ? [] : [{ bytes, afterMs: 0 }]);
    const begin = performance.now();
    await until('looked long enough', () => {
      bench.board.write({ 'leafB.extend': n % 4 < 2 });
      if (left < 1 && bench.board.read() === null) gone.add(n);
      return left < 1 && performance.now() - begin > 700;
    });
  }
  bench.spoil = (bytes) => [{ bytes, afterMs: 0 }];
  console.log(
    `one answer lost, ${timeoutMs} ms waited for it: contacts too old ${gone.size} of ${LOST} times`,
  );
}

/** Reversals as the core asks for them: the other way 250 ms after the off was asked for. */
async function reversed(what: string, lost: number): Promise<void> {
  const apart: number[] = [];
  const late: number[] = [];
  for (let n = 0; n < REVERSALS; n += 1) {
    const ways = [n % 2, 1 - (n % 2)] as const;
    const [from, to] = ways.map((way) => (way === 0 ? 'leafA.extend' : 'leafA.retract'));
    await until('one way', () => {
      bench.board.write({ [from ?? '']: true, [to ?? '']: false });
      return bench.coils[ways[0]] === true;
    });
    let left = lost;
    bench.spoil = (bytes) => (bytes[1] === 2 && left-- > 0 ? [] : [{ bytes, afterMs: 0 }]);
    bench.changed.length = 0;
    const begin = performance.now();
    await until('the other way', () => {
      bench.board.write({ [from ?? '']: false, [to ?? '']: performance.now() - begin >= 250 });
      return bench.coils[ways[1]] === true;
    });
    const off = bench.changed.find(({ on }) => !on)?.at ?? NaN;
    const on = bench.changed.find((one) => one.on)?.at ?? NaN;
    apart.push(on - off);
    late.push(on - begin - 250);
  }
  const least = Math.min(...apart).toFixed(1);
  const short = apart.filter((ms) => ms < 250).length;
  const worst = Math.max(...late).toFixed(1);
  console.log(
    `${what}: coil off to coil on, ms: least ${least}, below 250: ${short} of ${REVERSALS}; on after its asking at worst ${worst}`,
  );
}

await reversed('reversals', 0);
await reversed('reversals, one answer lost', 1);
await oneLost(50);
await oneLost(100);
await bench.close();
