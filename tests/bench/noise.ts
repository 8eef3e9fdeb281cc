/**
 * Fifty megabytes of hurt frames and noise through each decoder, compared with a naive reading.
 * Run: npx tsx tests/bench/noise.ts [megabytes] [seed]
 */
import { fuzz, SUBJECTS } from '../config/frames/fuzzing.ts';

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
