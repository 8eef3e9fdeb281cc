import type { ReadingInput } from '../../core/trace.ts';
import { MARK, readMarks } from './fields.ts';
import { checkedFields, createLine } from './line.ts';
import type { NumberShape, Unit } from './number.ts';
import { readNumber, toKg } from './number.ts';
import type { ScaleProfile } from './schema.ts';

/** What one whole frame of a weigh head says. */
export interface DecodedReading {
  /** In kg; null where the head sent no weight (over, under, error). */
  kg: number | null;
  /** The head's own motion mark, where it has one. */
  motion?: boolean;
  status?: NonNullable<ReadingInput['status']>;
  /** The weight is net of a tare, where the head says gross or net. */
  net?: boolean;
  /** At the centre of zero, where the head says so. */
  zero?: boolean;
}

/** Bytes of a weigh head -> readings, kept from one call to the next. Never throws. */
export interface Decoder {
  /** Takes the bytes that came and gives the readings of the frames that they complete. */
  push: (bytes: Uint8Array) => DecodedReading[];
  /** Drops what was begun, as when the port was opened anew; the counts stay. */
  restart: () => void;
  /** Stretches of bytes that were no whole frame of the profile. */
  readonly noise: number;
  /** Whole frames, also those that give no reading. */
  readonly frames: number;
  /** Bytes kept for the frame under way. */
  readonly held: number;
}

/**
 * A decoder of one profile. What does not match whole is noise: counted, never a weight.
 * Memory is bounded by one frame; the time for a frame is linear in its length.
 */
export function createDecoder(profile: ScaleProfile): Decoder {
  const fields = checkedFields(profile);
  const marksOf = readMarks(profile, fields.places);
  const weightAt = fields.places.weight ?? -1;
  const shape: NumberShape = { ...profile.weight, decimals: profile.weight.decimals ?? null };
  let given: DecodedReading[] = [];
  const line = createLine(profile, fields, (texts) => {
    const marks = marksOf(texts);
    if (marks < 0) return false;
    const reading = toReading(marks, texts[weightAt] ?? '', shape, profile.weight.unit);
    if (reading === null) return false;
    if ((marks & MARK.ignore) === 0) given.push(reading);
    return true;
  });
  return {
    push(bytes) {
      line.push(bytes);
      const readings = given;
      given = [];
      return readings;
    },
    restart: line.restart,
    get noise() {
      return line.noise;
    },
    get frames() {
      return line.frames;
    },
    get held() {
      return line.held;
    },
  };
}

function toReading(
  marks: number,
  text: string,
  shape: NumberShape,
  unit: Unit | undefined,
): DecodedReading | null {
  const status = statusOf(marks);
  const written = readNumber(text, shape);
  const reading: DecodedReading = { kg: null };
  if (marks & (MARK.motion | MARK.steady)) reading.motion = (marks & MARK.motion) !== 0;
  if (marks & (MARK.gross | MARK.net)) reading.net = (marks & MARK.net) !== 0;
  if (marks & MARK.zero) reading.zero = true;
  if (status !== null || written === 'none') {
    // Over or under, the digits may be anything that fills the field, so they are not looked at.
    reading.status = status ?? 'error';
    return reading;
  }
  const as = unitOf(marks) ?? unit;
  const signMark = (marks & (MARK.plus | MARK.minus)) !== 0;
  if (written === null || as === undefined || (signMark && written.signed)) return null;
  const size = toKg(written, as);
  const minus = written.minus || (marks & MARK.minus) !== 0;
  reading.kg = minus && size !== 0 ? -size : size;
  return reading;
}

function statusOf(marks: number): 'over' | 'under' | 'error' | null {
  if (marks & MARK.error) return 'error';
  if (marks & MARK.over) return 'over';
  return marks & MARK.under ? 'under' : null;
}

function unitOf(marks: number): Unit | undefined {
  if (marks & MARK.kg) return 'kg';
  if (marks & MARK.lb) return 'lb';
  if (marks & MARK.g) return 'g';
  return marks & MARK.t ? 't' : undefined;
}
