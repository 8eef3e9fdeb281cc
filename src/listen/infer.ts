/** From the bytes of a line to what stands in them, with the evidence for each conclusion. */
import { createDecoder, type DecodedReading } from '../config/frames/decode.ts';
import type { ScaleProfile } from '../config/frames/schema.ts';
import { findMarks } from './marks.ts';
import { findWeight, type Unit, type WeightField } from './number.ts';
import { KG, resolvePoint, resolveUnit } from './plausible.ts';
import { fromKnown, toBytes, writeProfile, type Written } from './profile.ts';
import type { Found, HeardByte } from './scan.ts';
import { periodOf, split, type Split } from './split.ts';
import { lastSteady, type TimedReading } from './steady.ts';
import { findSum } from './sums.ts';

export interface Finding {
  sure: boolean;
  baud: number | null;
  framing: string | null;
  /** From one frame to the next, whole ms. */
  periodMs: number | null;
  unit: Unit | null;
  /** The last steady weight, kg. */
  kg: number | null;
  /** A mark was found that tells motion. */
  motion: boolean;
  /** YAML. */
  profile: string | null;
  evidence: string[];
  /** Why it is not certain, each with the next thing to try. */
  doubts: string[];
  /** All readings of the line by the profile. */
  readings: TimedReading[];
  /** The weight's smallest step, kg, where it is known. */
  stepKg: number | null;
}

export interface InferOptions {
  /** Shipped profiles, tried first. */
  known: readonly ScaleProfile[];
  /** A weight that is known to lie on the platform, or to have lain on it, kg. */
  knownKg: number | null;
  ask: { send: string; everyMs: number } | null;
}

const FEWEST_FRAMES = 4;

/** What the line says. Never throws. */
export function infer(found: Found, options: InferOptions): Finding {
  const finding: Finding = {
    sure: false,
    baud: found.baud,
    framing: found.framing,
    periodMs: null,
    unit: null,
    kg: null,
    motion: false,
    profile: null,
    evidence: [...found.evidence],
    doubts: [],
    readings: [],
    stepKg: null,
  };
  if (found.text.length === 0) return unsure(finding, silence(found));
  const parted = split(found.text);
  if (parted === null || parted.frames.length < 2)
    return unsure(finding, 'no frames that end alike: let it run longer, or set the head to text');
  finding.evidence.push(...parted.evidence);
  const read =
    byKnown(found, parted, options, finding) ?? byInference(found, parted, options, finding);
  if (typeof read === 'string') return unsure(finding, read);
  return conclude(finding, found.text, parted, read);
}

function unsure(finding: Finding, doubt: string): Finding {
  finding.doubts.push(doubt);
  return finding;
}

function silence({ anything }: Found): string {
  return anything
    ? 'bytes came, but no speed and framing makes text of them: check that the head sends text and that ground and signal are not swapped, then listen again while it sends'
    : 'nothing came: check that the head is on and set to send all readings, try its other port or swap the two signal wires, or ask it with --poll';
}

/** The first shipped profile that reads nearly every frame. */
function byKnown(
  found: Found,
  parted: Split,
  { known, ask, knownKg }: InferOptions,
  finding: Finding,
): Written | string | null {
  const wanted = known.filter((profile) => (profile.ask !== undefined) === (ask !== null));
  for (const profile of [...wanted, ...known]) {
    const readings = readAll(profile, found.text);
    const weights = readings.filter(({ kg }) => kg !== null);
    if (weights.length < FEWEST_FRAMES || weights.length < parted.frames.length * 0.8) continue;
    finding.evidence.push(`profile: "${profile.name}" reads ${readings.length} frames as they are`);
    const frames = [...new Set(parted.frames.map(({ whole }) => whole))];
    const samples = [frames[0], frames[Math.floor(frames.length / 2)], frames.at(-1)];
    const written = fromKnown(profile, serialOf(found), ask, [
      ...new Set(samples.filter((one) => one !== undefined)),
    ]);
    if (typeof written === 'string') continue;
    if (knownKg !== null && !weights.some(({ kg }) => near(kg ?? 0, knownKg)))
      return `${knownKg} kg was to lie on the platform, and no such reading came: put it on and listen again`;
    finding.unit = unitIn(parted) ?? 'kg';
    return written;
  }
  return null;
}

function near(kg: number, wanted: number): boolean {
  return Math.abs(kg - wanted) <= Math.max(0.5, wanted * 0.02);
}

function unitIn({ frames }: Split): Unit | null {
  const last = frames.at(-1)?.body ?? '';
  const word = /\d *(kg|lb|g|t)/i.exec(last)?.[1]?.toLowerCase();
  return word === undefined ? null : (word as Unit);
}

function serialOf(found: Found): { baud: number; framing: string } {
  return { baud: found.baud ?? 9600, framing: found.framing ?? '8N1' };
}

function byInference(
  found: Found,
  parted: Split,
  options: InferOptions,
  finding: Finding,
): Written | string {
  const { evidence, doubts } = finding;
  const sum = findSum(parted);
  if (sum !== null)
    evidence.push(`check sum: ${sum.kind} (${sum.form}) proves ${sum.proved} different frames`);
  const inBody = sum?.place === 'last' ? sum.size : 0;
  const frames = parted.frames.map((frame) => ({
    ...frame,
    body: frame.body.slice(0, frame.body.length - inBody),
  }));
  const weight = findWeight(frames);
  if (weight === null)
    return 'no number stands in most of the frames: set the head to send the weight as text';
  evidence.push(...weight.evidence);
  if (weight.rival)
    doubts.push(
      'two numbers may be the weight: put something on, so that only one of them changes',
    );
  if (weight.rows.length < parted.frames.length * 0.6)
    doubts.push('many frames differ from the others: check the cable, then listen again');
  const step = stepOf(weight.rows.map(({ digits }) => digits));
  const marks = findMarks(weight.rows, weight.unitText.length, step);
  evidence.push(...marks.evidence);
  if (marks.doubt !== null) doubts.push(marks.doubt);
  const unit = resolveUnit(weight, options.knownKg);
  const point = resolvePoint(weight, unit.unit, step, options.knownKg);
  evidence.push(unit.evidence, point.evidence);
  doubts.push(...unit.doubts, ...point.doubts);
  finding.unit = unit.unit;
  finding.motion = marks.motion;
  finding.stepKg = (step * KG[unit.unit]) / Number(`1e${point.decimals}`);
  if (commaDoubt(weight)) doubts.push(COMMA);
  // The rows lost the check sum; the samples and the length need it.
  const whole = weight.rows.map((row) => ({
    ...row,
    frame: parted.frames[frames.indexOf(row.frame)],
  }));
  const rows = whole.flatMap(({ frame, ...row }) => (frame ? [{ ...row, frame }] : []));
  const right = rows.map((row) => ({
    ...row,
    right: row.right + row.frame.body.slice(row.frame.body.length - inBody),
  }));
  return writeProfile({
    serial: serialOf(found),
    ask: options.ask,
    split: parted,
    sum,
    weight: { ...weight, rows: inBody > 0 ? right : rows },
    marks: marks.marks,
    unit: unit.unit,
    decimals: point.decimals,
    periodMs: periodOf(parted.frames) ?? 1000,
    about: `Found by listening. ${[...evidence, ...doubts].join('. ')}.`.slice(0, 1900),
  });
}

/**
 * The division in units of the last digit: 1, 2 or 5 times a power of ten (as OIML R 76-1 has it),
 * the largest of which nearly all weights are multiples; a damaged frame may be none.
 */
function stepOf(digits: readonly number[]): number {
  if (digits.every((value) => value === 0)) return 1;
  const multiples = (step: number): number =>
    digits.filter((value) => value % step === 0).length / digits.length;
  return [500, 200, 100, 50, 20, 10, 5, 2].find((step) => multiples(step) >= 0.96) ?? 1;
}

const COMMA =
  'what follows the comma never changes, so it may be no part of the weight: put something on';

/** A comma may be the decimal point or stand between two fields. */
function commaDoubt({ point, rows, unit }: WeightField): boolean {
  return (
    point === ',' && unit === null && new Set(rows.map(({ text }) => text.split(',')[1])).size === 1
  );
}

function readAll(profile: ScaleProfile, text: readonly HeardByte[]): TimedReading[] {
  const decoder = createDecoder(profile);
  return text.flatMap(({ t, byte }) =>
    decoder
      .push(toBytes(String.fromCharCode(byte)))
      .map((reading: DecodedReading) => ({ t, ...reading })),
  );
}

/** The loop is closed: the line is read by the profile that was written from it. */
function conclude(
  finding: Finding,
  text: readonly HeardByte[],
  parted: Split,
  written: Written,
): Finding {
  const readings = readAll(written.profile, text);
  const weights = readings.filter(({ kg }) => kg !== null);
  const period = periodOf(parted.frames);
  finding.readings = readings;
  finding.profile = written.yaml;
  finding.periodMs = period === null ? null : Math.round(period);
  finding.motion ||= readings.some(({ motion }) => motion !== undefined);
  finding.kg = lastSteady(readings, period ?? 1000, finding.stepKg);
  finding.evidence.push(
    `read back: the profile reads ${weights.length} of ${parted.frames.length} frames`,
  );
  if (period === null) finding.doubts.push('too few frames for their period: listen longer');
  if (weights.length < FEWEST_FRAMES)
    finding.doubts.push(`only ${weights.length} frames were read: listen longer`);
  else if (weights.length < parted.frames.length * 0.75)
    finding.doubts.push('the profile does not read many frames: check the cable and listen again');
  // Without a mark, whether it came to rest cannot be told for certain.
  if (finding.kg === null && !finding.motion)
    finding.doubts.push('no weight came to rest: let the load stand still, then listen again');
  finding.sure = finding.doubts.length === 0;
  return finding;
}
