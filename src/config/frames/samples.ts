import { createDecoder } from './decode.ts';
import type { DecodedReading } from './decode.ts';
import { endsOf } from './consistent.ts';
import type { FrameProfile } from './schema.ts';
import { createTagDecoder } from './tag.ts';
import type { DecodedTag } from './tag.ts';

/** What one sample of a profile gave. */
export interface SampleResult {
  /** Where it stands in the file, e.g. `['samples', 2]` or `['bad', 0]`. */
  path: [string, number];
  bytes: string;
  /** What it gave, in words. */
  gave: string;
  /** What it should have given; null where it did. */
  expected: string | null;
}

/**
 * Runs every sample and every bad frame of a profile, each through a fresh decoder and twice over,
 * since a line with no start of its own is taken only after the end of another.
 */
export function runSamples(profile: FrameProfile): SampleResult[] {
  const good = profile.samples.map(({ bytes, reads }, index) =>
    result(profile, ['samples', index], bytes, reads === 'nothing' ? null : reads),
  );
  const bad = profile.bad.map((bytes, index) => badResult(profile, ['bad', index], bytes));
  return [...good, ...bad];
}

interface Outcome {
  given: (DecodedReading | DecodedTag)[];
  frames: number;
}

function decode(profile: FrameProfile, bytes: string): Outcome {
  const decoder = profile.kind === 'scale' ? createDecoder(profile) : createTagDecoder(profile);
  const push = (text: string): Outcome['given'] => decoder.push(Buffer.from(text, 'latin1'));
  push(endsOf(profile)[0] ?? '');
  const given = [...push(bytes), ...push(bytes)];
  return { given, frames: decoder.frames };
}

function result(
  profile: FrameProfile,
  path: [string, number],
  bytes: string,
  reads: DecodedReading | DecodedTag | null,
): SampleResult {
  const { given, frames } = decode(profile, bytes);
  const words = given.map((one) => inWords(one));
  const wanted = reads === null ? 'nothing, from a whole frame' : inWords(reads);
  const right =
    reads === null
      ? given.length === 0 && frames > 0
      : given.length > 0 && words.every((word) => word === wanted);
  const gave = [...new Set(words)].join(' / ');
  return { path, bytes, gave: gave === '' ? 'nothing' : gave, expected: right ? null : wanted };
}

function badResult(profile: FrameProfile, path: [string, number], bytes: string): SampleResult {
  const { given } = decode(profile, bytes);
  const gave = given.map((one) => inWords(one)).join(' / ');
  const expected = given.length === 0 ? null : 'nothing';
  return { path, bytes, gave: gave === '' ? 'nothing' : gave, expected };
}

/** The same words for equal readings, whatever the order of their keys. */
function inWords(read: Readable): string {
  const words = 'tag' in read ? [read.tag] : [read.kg === null ? 'no weight' : `${read.kg} kg`];
  if ('tag' in read) {
    if (read.animal !== undefined) words.push(read.animal ? 'animal' : 'not an animal');
    if (read.test) words.push('test tag');
    return words.join(', ');
  }
  if (read.motion !== undefined) words.push(read.motion ? 'in motion' : 'steady');
  if (read.net !== undefined) words.push(read.net ? 'net' : 'gross');
  if (read.status !== undefined) words.push(read.status);
  if (read.zero) words.push('zero');
  return words.join(', ');
}

type Readable = DecodedReading | DecodedTag;
