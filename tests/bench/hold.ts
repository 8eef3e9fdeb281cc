/**
 * Hold-to-run from a browser to the relay: 200 presses that end as they should not.
 * `npx tsx tests/bench/hold.ts [runs]`; exits 1 where one output was not off within 400 ms of the last
 * true touch, or went on again by itself.
 */
import { cpus } from 'node:os';
import { openFitBench } from '../journeys/fit-bench.ts';
import {
  KINDS,
  longStrokes,
  openFitter,
  openLine,
  run,
  type RunResult,
} from '../journeys/hold-runs.ts';
import { buildPage, openBrowser } from '../journeys/pen.ts';

const MOST_MS = 400;
const runs = Number(process.argv[2] ?? 200);

const webDir = await buildPage(false);
const browser = await openBrowser();
const bench = await openFitBench(webDir, longStrokes);
const line = await openLine(bench.port);
const one = await openFitter(browser, `http://127.0.0.1:${String(line.port)}/`);
const other = await openFitter(browser, bench.url);
const scene = { bench, line, browser, one, other };

const all: RunResult[] = [];
for (let n = 0; n < runs; n++) {
  const kind = KINDS[n % KINDS.length] ?? 'stalled line';
  const result = await run(scene, kind, Math.floor(n / KINDS.length));
  all.push(result);
  process.stderr.write(`${String(n + 1)} ${kind} ${result.offMs.toFixed(0)}\n`);
}

console.log(
  `npx tsx tests/bench/hold.ts ${String(runs)}: ${cpus()[0]?.model ?? ''}, ${process.version}`,
);
console.log('From the last true touch to the output off at the simulated relay, ms:\n');
console.log('| how the press ended | n | median | most | within 400 | on again |');
console.log('| --- | --- | --- | --- | --- | --- |');
for (const kind of KINDS) {
  const of = all.filter((one) => one.kind === kind);
  const sorted = of.map(({ offMs }) => offMs).sort((a, b) => a - b);
  const median = sorted[Math.floor(sorted.length / 2)] ?? NaN;
  const within = sorted.filter((ms) => ms <= MOST_MS).length;
  const again = of.filter((one) => one.again).length;
  const figures = [of.length, median.toFixed(0), (sorted.at(-1) ?? NaN).toFixed(0), within, again];
  console.log(`| ${kind} | ${figures.join(' | ')} |`);
}
const good = all.filter((one) => one.offMs <= MOST_MS && !one.again).length;
const early = all.reduce((sum, one) => sum + one.early, 0);
console.log(
  `\nPresses that ran out before, on a busy machine, and were held anew: ${String(early)}`,
);
console.log(`\n${String(good)} of ${String(all.length)}\n`);
console.log(all.map(({ offMs }) => offMs.toFixed(0)).join(' '));

await browser.close();
line.server.close();
await bench.close();
process.exitCode = good === all.length ? 0 : 1;
