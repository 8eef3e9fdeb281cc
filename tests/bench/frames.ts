/**
 * Frames parsed, against serialport's own line parser with a regular expression, in the same run.
 * Run: npx tsx tests/bench/frames.ts
 */
import { cpus } from 'node:os';
import { ReadlineParser } from 'serialport';
import { frame } from '../../simulator/frames.ts';
import { createDecoder } from '../../src/config/frames/decode.ts';
import { random } from '../config/frames/fuzzing.ts';
import { shippedScale } from '../config/frames/shipped.ts';

const FRAMES = 200_000;
const ROUNDS = 7;

/** Both sides give kg and motion for every frame, so that neither does less. */
type Side = (chunks: Buffer[]) => number;

const LINE =
  /^(?<state>ST|US|OL|UL|ER),(?<mode>GS|NT),(?<sign>[-+])(?<weight> *\d+\.\d+)(?<unit>kg|lb)$/;

function theirs(chunks: Buffer[]): number {
  const parser = new ReadlineParser({ delimiter: '\r\n', encoding: 'latin1' });
  let sum = 0;
  parser.on('data', (line: string) => {
    const groups = LINE.exec(line)?.groups;
    if (!groups) return;
    const reading = {
      kg: Number(`${groups.sign ?? ''}${(groups.weight ?? '').trim()}`),
      motion: groups.state === 'US',
    };
    sum += reading.kg;
  });
  for (const chunk of chunks) parser.write(chunk);
  return sum;
}

function ours(chunks: Buffer[]): number {
  const decoder = createDecoder(shippedScale('plain-continuous'));
  let sum = 0;
  for (const chunk of chunks)
    for (const reading of decoder.push(chunk)) if (reading.kg !== null) sum += reading.kg;
  return sum;
}

/** A port gives what has come: at 9600 bits a second a few bytes at a time. */
function cut(stream: Buffer, bytes: number): Buffer[] {
  const chunks: Buffer[] = [];
  for (let at = 0; at < stream.length; at += bytes) chunks.push(stream.subarray(at, at + bytes));
  return chunks;
}

function perSecond(side: Side, chunks: Buffer[]): number {
  const begin = performance.now();
  side(chunks);
  return FRAMES / ((performance.now() - begin) / 1000);
}

function median(values: number[]): number {
  return [...values].sort((a, b) => a - b)[values.length >> 1] ?? NaN;
}

const below = random(1);
const stream = Buffer.from(
  Array.from({ length: FRAMES }, () => frame(below(1200) / 10, below(3) === 0)).join(''),
);
console.log(`${cpus()[0]?.model ?? 'unknown processor'}, Node ${process.version}`);
console.log(`${FRAMES} frames of 18 bytes; frames a second, median of ${ROUNDS} rounds in turn`);
console.log('bytes a chunk   line parser + regex        ours   ratio');
for (const bytes of [8, 18, 64, 4096]) {
  const chunks = cut(stream, bytes);
  // Ours drops the first frames, which may be tails.
  if (Math.abs(theirs(chunks) - ours(chunks)) > 400) throw new Error('the two sides differ');
  const rounds = Array.from({ length: ROUNDS }, () => [
    perSecond(theirs, chunks),
    perSecond(ours, chunks),
  ]);
  const [a, b] = [0, 1].map((side) => median(rounds.map((round) => round[side] ?? NaN)));
  const row = [bytes, (a ?? 0).toFixed(0), (b ?? 0).toFixed(0)];
  const [first, second, third] = row.map(String);
  console.log(
    `${(first ?? '').padStart(13)}${(second ?? '').padStart(22)}${(third ?? '').padStart(12)}${((b ?? 0) / (a ?? 1)).toFixed(2).padStart(8)}`,
  );
}
