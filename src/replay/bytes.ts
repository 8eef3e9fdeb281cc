/** The raw bytes of a trace beside its readings: do they still say the same, and when did each come? */
import { createDecoder, type DecodedReading } from '../config/frames/decode.ts';
import type { ScaleProfile } from '../config/frames/schema.ts';
import type { ReadingInput } from '../core/trace.ts';
import type { TraceFile } from './read.ts';

/** A stretch with the link up, from its opening on: what was read then, and what its bytes say now. */
interface Stretch {
  recorded: ReadingInput[];
  pieces: Piece[];
}

/** Bytes up to the end of one frame, or those that gave no reading. */
interface Piece {
  /** Time of the record that holds them. */
  t: number;
  bytes: Uint8Array;
  reading: DecodedReading | null;
}

/** The first frames after an opening may count for one decoder and not for another that begins there. */
const MOST_AHEAD = 5;
/** So many readings decide how the two lists lie to each other. */
const COMPARED = 10;

/**
 * Decodes the bytes anew and compares reading by reading, in order.
 * @returns the first that differs, or null where nothing differs or nothing can be compared.
 */
export function bytesDifference(
  trace: TraceFile,
  profile: ScaleProfile | null,
): { t: number; recorded: string; decoded: string } | null {
  if (profile === null) return null;
  const lastT = trace.records.at(-1)?.t ?? 0;
  for (const stretch of stretches(trace, profile)) {
    const decoded = stretch.pieces.filter((piece) => piece.reading !== null);
    const ahead = lieOf(stretch.recorded, decoded);
    for (const [i, { t, reading }] of decoded.entries()) {
      const was = stretch.recorded[i + ahead];
      // The record of a second's bytes may stand in front of its last readings, and be cut off there.
      if (was === undefined && lastT - t < 1000) break;
      const [a, b] = [words(was), words(reading ?? undefined)];
      if (a !== b) return { t: was?.t ?? t, recorded: a, decoded: b };
    }
  }
  return null;
}

/** Bytes and when the last of them came, ms in trace time. */
export interface TimedBytes {
  t: number;
  bytes: Uint8Array;
}

/**
 * When each frame came: a trace keeps the bytes of a second in one record, and its readings say when
 * the last byte of each frame arrived. Bytes that give no reading come at their record's time.
 */
export function timedBytes(trace: TraceFile, profile: ScaleProfile | null): TimedBytes[] {
  let before = 0;
  return stretches(trace, profile).flatMap(({ recorded, pieces }) => {
    const decoded = pieces.filter((piece) => piece.reading !== null);
    const ahead = lieOf(recorded, decoded);
    return pieces.map(({ t, bytes, reading }, i) => {
      const n = reading === null ? -1 : decoded.indexOf(pieces[i] as Piece) + ahead;
      before = Math.max(before, recorded[n]?.t ?? t);
      return { t: before, bytes };
    });
  });
}

function stretches(trace: TraceFile, profile: ScaleProfile | null): Stretch[] {
  const list: Stretch[] = [];
  let now: Stretch = { recorded: [], pieces: [] };
  let decoder = profile === null ? null : createDecoder(profile);
  const end = (): void => {
    if (now.pieces.length > 0) list.push(now);
    now = { recorded: [], pieces: [] };
  };
  for (const record of trace.records) {
    if ('kg' in record) now.recorded.push(record);
    if ('link' in record && record.link === 'scale' && !record.up) {
      end();
      decoder = profile === null ? null : createDecoder(profile);
    }
    if (!('bytes' in record)) continue;
    now.pieces.push(...piecesOf(decoder, record.t, Buffer.from(record.bytes, 'base64')));
  }
  end();
  return list;
}

function piecesOf(
  decoder: ReturnType<typeof createDecoder> | null,
  t: number,
  bytes: Uint8Array,
): Piece[] {
  const pieces: Piece[] = [];
  let from = 0;
  for (let i = 0; decoder !== null && i < bytes.length; i += 1) {
    const [reading] = decoder.push(bytes.subarray(i, i + 1));
    if (reading === undefined) continue;
    pieces.push({ t, bytes: bytes.subarray(from, i + 1), reading });
    from = i + 1;
  }
  if (from < bytes.length) pieces.push({ t, bytes: bytes.subarray(from), reading: null });
  return pieces;
}

/** How many recorded readings stand before the first decoded one: where most of them agree. */
function lieOf(recorded: readonly ReadingInput[], decoded: readonly Piece[]): number {
  let best = { ahead: 0, same: -1 };
  for (let ahead = 0; ahead <= MOST_AHEAD; ahead += 1) {
    let same = 0;
    for (let i = 0; i < Math.min(COMPARED, decoded.length); i += 1) {
      const reading = decoded[i]?.reading ?? undefined;
      if (words(recorded[i + ahead]) === words(reading)) same += 1;
    }
    if (same > best.same) best = { ahead, same };
  }
  return best.ahead;
}

function words(reading: Pick<ReadingInput, 'kg' | 'status'> | undefined): string {
  if (reading === undefined) return 'no reading';
  return reading.kg === null ? (reading.status ?? 'no weight') : `${reading.kg} kg`;
}
