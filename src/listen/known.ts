/** Whether a shipped profile reads the line as it is. */
import { createDecoder, type DecodedReading } from '../config/frames/decode.ts';
import type { ScaleProfile } from '../config/frames/schema.ts';
import type { InferOptions } from './infer.ts';
import type { Unit } from './number.ts';
import { missing, near } from './plausible.ts';
import { fromKnown, serialOf, toBytes, type Written } from './profile.ts';
import type { Found, HeardByte } from './scan.ts';
import type { Split } from './split.ts';
import type { TimedReading } from './steady.ts';

/** Fewer frames than these show no pattern. */
export const FEWEST_FRAMES = 5;

interface Known {
  written: Written;
  unit: Unit;
  evidence: string;
  /** The known weight did not come. */
  doubt: string | null;
}

/** The first shipped profile that reads nearly every frame; null where none does. */
export function byKnown(
  found: Found,
  parted: Split,
  { known, ask, knownKg }: InferOptions,
): Known | null {
  const wanted = known.filter((profile) => (profile.ask !== undefined) === (ask !== null));
  for (const profile of [...wanted, ...known]) {
    const readings = readAll(profile, found.text);
    const weights = readings.filter(({ kg }) => kg !== null);
    if (weights.length < FEWEST_FRAMES || weights.length < parted.frames.length * 0.8) continue;
    const frames = [...new Set(parted.frames.map(({ whole }) => whole))];
    const samples = [frames[0], frames[Math.floor(frames.length / 2)], frames.at(-1)];
    const written = fromKnown(profile, serialOf(found), ask, [
      ...new Set(samples.filter((one) => one !== undefined)),
    ]);
    if (typeof written === 'string') continue;
    const came = knownKg === null || weights.some(({ kg }) => near(kg ?? 0, knownKg));
    return {
      written,
      unit: unitIn(parted) ?? profile.weight.unit ?? 'kg',
      evidence: `profile: "${profile.name}" reads ${readings.length} frames as they are`,
      doubt: came ? null : missing(knownKg),
    };
  }
  return null;
}

function unitIn({ frames }: Split): Unit | null {
  const last = frames.at(-1)?.body ?? '';
  const word = /\d *(kg|lb|g|t)/i.exec(last)?.[1]?.toLowerCase();
  return word === undefined ? null : (word as Unit);
}

/** What a profile reads on the line. */
export function readAll(profile: ScaleProfile, text: readonly HeardByte[]): TimedReading[] {
  const decoder = createDecoder(profile);
  return text.flatMap(({ t, byte }) =>
    decoder
      .push(toBytes(String.fromCharCode(byte)))
      .map((reading: DecodedReading) => ({ t, ...reading })),
  );
}
