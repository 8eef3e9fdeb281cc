/**
 * A Modbus RTU board on a pty at 115,200 baud, `npx tsx tests/bench/modbus.ts [times]`: how long until a changed
 * contact is read, and until a relay that is asked for is on. The other end is the library's own server, which
 * looks at its bytes every 4 ms.
 */
import { modbusBench, until } from '../adapters/relays/modbus-bench.ts';

const times = Number(process.argv[2] ?? 300);
const bench = await modbusBench();
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
await bench.close();
