/**
 * Fifty megabytes of hurt frames through each decoder, compared with a naive reading, and as much
 * plain noise, which must give nothing.
 * Run: npx tsx tests/bench/noise.ts [megabytes] [seed]
 */
import { fuzz, random, SUBJECTS } from '../config/frames/fuzzing.ts';

const megabytes = Number(process.argv[2] ?? 50);
const seed = Number(process.argv[3] ?? 1);
console.log(`${megabytes} MB each, seed ${seed}, Node ${process.version}`);
const columns = ['whole', 'cut', 'merged', 'doubled', 'flipped', 'noise'] as const;
console.log(
  `profile | ${columns.join(' | ')} | readings | noise stretches | most held | agrees | MB rss`,
);
for (const subject of SUBJECTS) {
  const counts = fuzz(subject, megabytes * 1024 * 1024, seed);
  const { readings, noiseStretches, mostHeld, difference } = counts;
  const memory = Math.round(process.memoryUsage.rss() / 1024 / 1024);
  const agrees = difference ?? 'yes';
  const row = [subject.name, ...columns.map((name) => counts[name]), readings, noiseStretches];
  console.log([...row, mostHeld, agrees, memory].join(' | '));
  if (difference !== null) process.exitCode = 1;
}

console.log('plain noise: profile | readings | noise stretches | most held | MB/s | MB rss');
for (const subject of SUBJECTS) {
  const below = random(seed);
  const decoder = subject.decoder();
  const block = new Uint8Array(64 * 1024);
  let [readings, mostHeld, ms] = [0, 0, 0];
  for (let i = 0; i < megabytes * 16; i++) {
    for (let at = 0; at < block.length; at++) block[at] = below(256);
    const begin = performance.now();
    for (let at = 0; at < block.length; at += 512)
      readings += decoder.push(block.subarray(at, at + 512)).length;
    ms += performance.now() - begin;
    mostHeld = Math.max(mostHeld, decoder.held);
  }
  const speed = (megabytes / (ms / 1000)).toFixed(1);
  const memory = Math.round(process.memoryUsage.rss() / 1024 / 1024);
  console.log([subject.name, readings, decoder.noise, mostHeld, speed, memory].join(' | '));
  if (readings > 0) process.exitCode = 1;
}
