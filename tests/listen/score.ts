/**
 * Whether what was found about a seeded head is right, field by field, for those that were found for
 * sure. What the line does not show can be neither right nor wrong, and only there:
 *
 * - `framing` is right when the simulated port, opened so, gives the frames that it gives opened as
 *   the head sends: no port tells one stop bit from two, and one that keeps bytes with errors does
 *   not tell parity.
 * - `motion` must be found where two frames or more came in each state of the mark, and must not be
 *   where the head has none. A mark that stayed the same may be missed.
 * - `kg` must be a weight at rest to within a division: by the head's mark where one was found, else
 *   what was sent for a whole second within one division. Null is right only where nothing was at
 *   rest, wrong wherever something was. A frame at the very beginning or end, of which nobody can say
 *   whether it was still heard, may count or not.
 * - The unit must be right always; a head that names none is set to kilograms.
 * - The place of the point has no field of its own: it is judged by what the profile reads, of what
 *   was sent and of weights that were not. A point that nothing shows is therefore never `right`.
 */
import {
  kgOf,
  LISTEN_FROM_MS,
  type HeadSession,
  type SentFrame,
} from '../../simulator/head-session.ts';
import { createDecoder } from '../../src/config/frames/decode.ts';
import { runSamples } from '../../src/config/frames/samples.ts';
import type { ScaleProfile } from '../../src/config/frames/schema.ts';
import { readProfile } from '../../src/config/profiles.ts';
import type { Heard } from './hearing.ts';

export interface Score {
  outcome: 'right' | 'not sure' | 'wrong';
  /** Fields that are wrong, with what was found and what is so. */
  wrong: string[];
}

export function score(session: HeadSession, heard: Heard): Score {
  const { finding } = heard;
  if (!finding.sure) return { outcome: 'not sure', wrong: [] };
  const { head } = session;
  const wrong: string[] = [];
  const check = (right: boolean, what: string): void => {
    if (!right) wrong.push(what);
  };
  check(finding.baud === head.serial.baud, `baud ${finding.baud} is ${head.serial.baud}`);
  check(framingRight(session, finding), `framing ${finding.framing} is ${head.serial.framing}`);
  const offMs = Math.abs((finding.periodMs ?? 0) - head.periodMs);
  const bearable = Math.max(2, 0.02 * head.periodMs);
  check(offMs <= bearable, `period ${finding.periodMs} is ${head.periodMs.toFixed(1)}`);
  check(finding.unit === head.unit, `unit ${finding.unit} is ${head.unit}`);
  check(motionRight(session, heard), `motion ${finding.motion} is ${head.motion}`);
  const truth = steadyTruth(session, heard);
  const right =
    kgRight(session, finding.kg, truth) || kgRight(session, finding.kg, atEdges(session, heard));
  check(right, `kg ${finding.kg} is ${truth.join(' or ')}`);
  wrong.push(...profileFaults(session, heard));
  return { outcome: wrong.length === 0 ? 'right' : 'wrong', wrong };
}

function seen({ sent }: HeadSession, { fromMs, toMs }: Heard): SentFrame[] {
  return sent.filter((frame) => frame.fromMs > fromMs + 100 && frame.toMs < toMs - 20);
}

/** All frames that may have been heard, those at the edges too. */
function perhapsSeen({ sent, adapter }: HeadSession, { fromMs, toMs }: Heard): SentFrame[] {
  return sent.filter((frame) => frame.fromMs > fromMs + adapter.openMs && frame.toMs <= toMs);
}

function framingRight(
  session: HeadSession,
  found: { baud: number | null; framing: string | null },
) {
  const count = (framing: string): number => {
    const serial = { baud: session.head.serial.baud, framing };
    const chunks = session.open(serial, LISTEN_FROM_MS).readUntil(LISTEN_FROM_MS + 10_000);
    const text = chunks.map(({ bytes }) => String.fromCharCode(...bytes)).join('');
    return session.sent.filter(({ bytes }) => text.includes(String.fromCharCode(...bytes))).length;
  };
  return count(found.framing ?? '8N1') >= 0.85 * count(session.head.serial.framing);
}

function motionRight(session: HeadSession, heard: Heard): boolean {
  if (session.head.motion === 'none') return !heard.finding.motion;
  const frames = seen(session, heard).filter(({ whole }) => whole);
  const moving = frames.filter(({ motion }) => motion).length;
  const both = moving >= 2 && frames.length - moving >= 2;
  return !both || heard.finding.motion;
}

/** Weights of the last frames at rest: by the mark where one was found, else by what was sent. */
function steadyTruth(session: HeadSession, heard: Heard, frames = seen(session, heard)): number[] {
  const atRest = heard.finding.motion
    ? frames.filter(({ motion }) => !motion)
    : frames.filter((_, i) => restsAt(frames, i, session.head));
  return atRest.slice(-4).map(({ kg }) => kg);
}

/** Weights at rest, where a frame at the edges counts. */
function atEdges(session: HeadSession, heard: Heard): number[] {
  return steadyTruth(session, heard, perhapsSeen(session, heard));
}

/** Whether all that was sent in the second up to this frame is within one division. */
function restsAt(frames: readonly SentFrame[], i: number, head: HeadSession['head']): boolean {
  const last = frames[i];
  const count = Math.max(2, Math.round(1000 / head.periodMs));
  const since = (last?.toMs ?? 0) - (count - 0.5) * head.periodMs;
  const before = frames.slice(0, i + 1).filter(({ toMs }) => toMs >= since);
  if ((frames[0]?.toMs ?? 0) > since + 0.7 * head.periodMs) return false;
  const kgs = before.map(({ kg }) => kg);
  return Math.max(...kgs) - Math.min(...kgs) <= 1.01 * kgOf(head, head.step);
}

function kgRight({ head }: HeadSession, kg: number | null, truth: number[]): boolean {
  if (kg === null) return truth.length === 0;
  const bearable = 1.01 * kgOf(head, head.step);
  return truth.some((one) => Math.abs(one - kg) <= bearable);
}

/** The profile must pass `fank profile`, read what was sent as soon as it came, and never wrongly. */
function profileFaults(session: HeadSession, heard: Heard): string[] {
  const read = readProfile('scale', heard.finding.profile ?? '', 'found.yaml');
  if (!read.ok) return [`profile refused: ${read.errors[0]?.message}`];
  const bad = runSamples(read.value).find(({ expected }) => expected !== null);
  if (bad) return [`sample ${JSON.stringify(bad.bytes)} reads as ${bad.gave}`];
  const frames = seen(session, heard).filter(({ whole }) => whole);
  const now = decodeAll(read.value, frames);
  const faults: string[] = [];
  if (now.wrong !== null) faults.push(now.wrong);
  // Without a check sum a frame of another width than the one before is left out on purpose.
  const least = session.head.columns === null && session.head.checksum === null ? 0.8 : 0.95;
  if (now.right < frames.length * least - 1) faults.push(`reads ${now.right} of ${frames.length}`);
  const other = decodeAll(read.value, fresh(session, heard));
  if (other.wrong !== null) faults.push(`fresh: ${other.wrong}`);
  if (session.busy && other.right < 3) faults.push(`fresh: reads ${other.right}`);
  return faults;
}

/** Weights that did not come while listening, in the states that did. */
function fresh(session: HeadSession, heard: Heard): SentFrame[] {
  const { head } = session;
  const states = new Set(seen(session, heard).map(({ motion }) => motion));
  const unit = 1 / kgOf(head, 1);
  const values = [23.4, 41.5, 77, 104, 0, -0.5].flatMap((kg) =>
    [...states].map((motion) => ({
      digits: Math.round((kg * unit) / head.step) * head.step,
      motion,
    })),
  );
  return values.map((value, i) => ({
    fromMs: 0,
    toMs: 0,
    bytes: Uint8Array.from(head.frame(value, i), (char) => char.charCodeAt(0)),
    kg: kgOf(head, value.digits),
    motion: value.motion,
    whole: true,
  }));
}

function decodeAll(
  profile: ScaleProfile,
  frames: readonly SentFrame[],
): { right: number; wrong: string | null } {
  const decoder = createDecoder(profile);
  let right = 0;
  let wrong: string | null = null;
  const [first] = frames;
  if (first) decoder.push(first.bytes);
  for (const { bytes, kg, motion } of frames) {
    const readings = decoder.push(bytes);
    for (const reading of readings) {
      const off = Math.abs((reading.kg ?? NaN) - kg) < 0.0005 ? '' : `${reading.kg} for ${kg}`;
      const mark = (reading.motion ?? motion) === motion ? '' : `motion ${!motion}`;
      if (off || mark) wrong ??= `${JSON.stringify(String.fromCharCode(...bytes))}: ${off} ${mark}`;
    }
    if (readings.length > 0) right += 1;
  }
  return { right, wrong };
}
