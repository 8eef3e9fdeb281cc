/** From the bytes of a line to what stands in them, with the evidence for each conclusion. */
import { createDecoder } from '../config/frames/decode.ts';
import type { ScaleProfile } from '../config/frames/schema.ts';
import { byKnown, FEWEST_FRAMES, readAll } from './known.ts';
import { findMarks } from './marks.ts';
import { findWeight, type Row, type Unit } from './number.ts';
import {
  commaDoubt,
  KG,
  LIGHTEST_KG,
  near,
  resolvePoint,
  resolveUnit,
  stepOf,
} from './plausible.ts';
import { serialOf, toBytes, writeProfile, type Written } from './profile.ts';
import type { Found } from './scan.ts';
import { periodOf, split, type Frame, type Split } from './split.ts';
import { lastSteady, type TimedReading, type TimedWeight } from './steady.ts';
import { findSum, provedBy, type FoundSum } from './sums.ts';
import { damagedWeights, strangers, unreadOf } from './unread.ts';

export interface Finding {
  sure: boolean;
  baud: number | null;
  framing: string | null;
  /** From one frame to the next, whole ms. */
  periodMs: number | null;
  unit: Unit | null;
  /** The last steady weight, kg; null where none came to rest. */
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
  const known = byKnown(found, parted, options);
  if (known !== null) {
    finding.evidence.push(known.evidence);
    if (known.doubt !== null) finding.doubts.push(known.doubt);
    finding.unit = known.unit;
    conclude(finding, found, parted, { written: known.written, rows: null, damaged: [] });
  } else {
    const inferred = byInference(found, parted, options, finding);
    if (typeof inferred === 'string') return unsure(finding, inferred);
    conclude(finding, found, parted, inferred);
  }
  const { knownKg } = options;
  if (knownKg !== null && !near(finding.kg ?? NaN, knownKg))
    finding.doubts.push(
      `at rest are ${finding.kg ?? 'no'} kg, not the ${knownKg} kg that are known`,
    );
  finding.sure = finding.doubts.length === 0;
  return finding;
}

/**
 * Whether listening may end before its time: all is sure, and a load came to rest by the head's own
 * mark; with a known weight, that one lies there at rest.
 */
export function isEnough({ sure, kg, motion }: Finding, knownKg: number | null): boolean {
  if (!sure || kg === null) return false;
  return knownKg === null ? motion && kg > LIGHTEST_KG : near(kg, knownKg);
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

interface Inferred {
  written: Written;
  /** Null where a shipped profile reads the line. */
  rows: readonly Row[] | null;
  /** What damaged frames seem to have said. */
  damaged: readonly TimedWeight[];
}

function byInference(
  found: Found,
  parted: Split,
  options: InferOptions,
  finding: Finding,
): Inferred | string {
  const { evidence, doubts } = finding;
  const sum = findSum(parted);
  if (sum !== null)
    evidence.push(`check sum: ${sum.kind} (${sum.form}) proves ${sum.proved} different frames`);
  // A byte that is right for one frame alone may be its last letter: one in a hundred is by chance.
  if (sum?.proved === 1 && sum.form === 'raw' && sum.size === 1)
    doubts.push('one frame over and over shows no check sum for sure: put something on');
  const proved =
    sum === null ? parted.frames : parted.frames.filter((f) => provedBy(f, parted, sum));
  const inBody = sum?.place === 'last' ? sum.size : 0;
  const bodies = new Map<Frame, Frame>(
    proved.map((frame) => [
      { ...frame, body: frame.body.slice(0, frame.body.length - inBody) },
      frame,
    ]),
  );
  const weight = findWeight([...bodies.keys()], sum !== null);
  if (weight === null)
    return 'no number stands in most of the frames: set the head to send the weight as text';
  evidence.push(...weight.evidence);
  if (weight.rival)
    doubts.push(
      'two numbers may be the weight: put something on, so that only one of them changes',
    );
  if (weight.rows.length < parted.frames.length * 0.5)
    doubts.push('many frames differ from the others: check the cable, then listen again');
  else if (lostMany(weight.rows))
    doubts.push('many frames were lost: check the cable, then listen again');
  if (weight.rows.length < FEWEST_FRAMES)
    doubts.push(`only ${weight.rows.length} frames are alike: listen longer`);
  const step = stepOf(weight.rows.map(({ digits }) => digits));
  const marks = findMarks(weight.rows, weight.unitText.length, step);
  evidence.push(...marks.evidence);
  if (marks.doubt !== null) doubts.push(marks.doubt);
  const unit = resolveUnit(weight, options.knownKg);
  const point = resolvePoint(weight, unit.unit, step, options.knownKg);
  evidence.push(unit.evidence, point.evidence);
  doubts.push(...unit.doubts, ...point.doubts, ...commaDoubt(weight));
  finding.unit = unit.unit;
  finding.motion = marks.motion;
  finding.stepKg = (step * KG[unit.unit]) / Number(`1e${point.decimals}`);
  const rows = wholeRows(weight.rows, bodies, sum);
  const unread = unreadOf(parted.frames, rows);
  const strange = strangers(unread, rows, parted, sum);
  if (strange !== null) doubts.push(strange);
  const written = writeProfile({
    serial: serialOf(found),
    ask: options.ask,
    split: parted,
    sum,
    weight: { ...weight, rows },
    marks: marks.marks,
    unit: unit.unit,
    decimals: point.decimals,
    periodMs: periodOf(parted.frames) ?? 1000,
    about: `Found by listening. ${[...evidence, ...doubts].join('. ')}.`.slice(0, 1900),
  });
  if (typeof written === 'string')
    return `no profile can be written of it (${written}): listen again while the load changes`;
  const scale = { unit: unit.unit, places: point.decimals };
  return { written, rows, damaged: damagedWeights(unread, weight, scale) };
}

/** Of few frames each one counts. */
function lostMany(rows: readonly Row[]): boolean {
  const lasted = (rows.at(-1)?.t ?? 0) - (rows[0]?.t ?? 0);
  const due = Math.round(lasted / (periodOf(rows) ?? Infinity)) + 1;
  return rows.length < due * (due < 12 ? 0.65 : 0.4);
}

/** The rows lost the check sum; the samples and the length need it. */
function wholeRows(
  rows: readonly Row[],
  bodies: ReadonlyMap<Frame, Frame>,
  sum: FoundSum | null,
): Row[] {
  const inBody = sum?.place === 'last' ? sum.size : 0;
  return rows.flatMap((row) => {
    const frame = bodies.get(row.frame);
    if (!frame) return [];
    const carried = frame.body.slice(frame.body.length - inBody);
    return [{ ...row, frame, right: row.right + (inBody > 0 ? carried : '') }];
  });
}

/** The loop is closed: the line is read by the profile that was written from it. */
function conclude(
  finding: Finding,
  found: Found,
  parted: Split,
  { written, rows, damaged }: Inferred,
): void {
  const readings = readAll(written.profile, found.text);
  const weights = readings.flatMap(({ kg, ...rest }) => (kg === null ? [] : [{ ...rest, kg }]));
  const period = periodOf(parted.frames);
  finding.readings = readings;
  finding.profile = written.yaml;
  finding.periodMs = period === null ? null : Math.round(period);
  finding.motion ||= readings.some(({ motion }) => motion !== undefined);
  const steady = lastSteady(
    rows === null ? weights : weightsOf(rows, written.profile),
    period ?? 1000,
    finding.stepKg,
    damaged,
  );
  finding.kg = steady.kg;
  if (steady.unclear)
    finding.doubts.push('frames were lost while the load may have come to rest: listen again');
  finding.evidence.push(
    `read back: the profile reads ${weights.length} of ${parted.frames.length} frames`,
  );
  if (finding.kg === null) finding.evidence.push('steady: no weight came to rest');
  if (period === null) finding.doubts.push('too few frames for their period: listen longer');
  const wanted =
    rows === null ? parted.frames.length * 0.7 : readable(rows, written.profile) * 0.85;
  if (weights.length < Math.max(2, wanted - 1))
    finding.doubts.push('the profile does not read many frames: check the cable and listen again');
}

/** How many rows the profile is to read; those that nobody could take for whole are left out. */
function readable(rows: readonly Row[], { frame }: ScaleProfile): number {
  const clean = rows.filter((row) => frame.start !== undefined || !row.frame.stray);
  if (frame.length !== 'same') return clean.length;
  const widths = clean.map((row) => row.frame.body.length);
  return widths.filter((width, i) => i > 0 && width === widths[i - 1]).length;
}

/** The weights of the rows, with the mark as the profile reads it. */
function weightsOf(rows: readonly Row[], profile: ScaleProfile): TimedWeight[] {
  const { unit, decimals } = profile.weight;
  const scale = KG[unit ?? 'kg'] / Number(`1e${decimals ?? 0}`);
  const decoder = createDecoder(profile);
  return rows.map(({ t, digits, frame }) => {
    const bytes = toBytes(frame.whole);
    // Where widths vary, only the second frame of a width is read.
    const read = [1, 2, 3].flatMap(() => decoder.push(bytes)).at(-1);
    const kg = Math.round(digits * scale * 10_000) / 10_000;
    return { t, kg, ...(read?.motion === undefined ? {} : { motion: read.motion }) };
  });
}
