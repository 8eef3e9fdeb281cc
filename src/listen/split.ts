/** Where frames begin and end, from the control characters that come round and the pauses. */
import type { HeardByte } from './scan.ts';

export interface Frame {
  /** When its last byte was handed over, ms. */
  t: number;
  /** Between start and end. */
  body: string;
  /** What followed the end and belongs to the frame (a check sum). */
  after: string;
  /** As it came, start and end included. */
  whole: string;
  /** Stray bytes came in the pause before it; whoever reads the line takes them for its own. */
  stray: boolean;
}

export interface Split {
  start: string;
  end: string;
  /** Bytes that belong to the frame and follow its end. */
  afterEnd: number;
  frames: Frame[];
  evidence: string[];
}

interface Run {
  from: number;
  to: number;
  text: string;
}

/** Splits the text; null where no control characters come round. */
export function split(heard: readonly HeardByte[]): Split | null {
  const { text, strayBefore } = withoutStray(heard);
  const runs = controlRuns(text);
  const common = mostCommon(runs.filter(({ text: run }) => /[\x03\x04\n\r]/.test(run)).map(keyOf));
  if (common === null || common.count < 2) return null;
  const anchors = anchorsOf(runs, common.value);
  const marks = cut(text, anchors, common.value);
  const opened = marks.start !== '' && marks.afterEnd === 0;
  const cutOut = opened
    ? fromStart(text, marks, strayBefore)
    : between(text, anchors, marks, strayBefore);
  const frames = withoutTail(cutOut);
  const shown = (bytes: string): string => JSON.stringify(bytes);
  const hurt = frames.filter(({ stray }) => stray).length;
  const evidence = [
    `frame end: ${shown(marks.end)} closed ${frames.length} frames${marks.why}`,
    ...(marks.start === '' ? [] : [`frame start: ${shown(marks.start)} stands before each`]),
    ...(hurt === 0
      ? []
      : [`interference: stray bytes in the pause before ${hurt} frames; screen the cable`]),
  ];
  return { start: marks.start, end: marks.end, afterEnd: marks.afterEnd, frames, evidence };
}

/** Where the run stands; a check sum before it may be a control character too. */
function anchorsOf(runs: readonly Run[], key: string): Run[] {
  return runs
    .filter(({ text }) => text.endsWith(key))
    .map((run) => ({ ...run, from: run.to - key.length, text: key }));
}

/** Longer than an adapter holds bytes back. */
const PAUSE_MS = 25;

/**
 * Leaves out bytes that stand alone in the pause between frames, as interference makes them. Where
 * the line is so slow that every byte stands alone, nothing is left out.
 */
function withoutStray(heard: readonly HeardByte[]): {
  text: HeardByte[];
  /** Places in the text before which something was left out. */
  strayBefore: Set<number>;
} {
  const bursts: HeardByte[][] = [];
  for (const [i, one] of heard.entries()) {
    const before = heard[i - 1];
    if (!before || one.t - before.t >= PAUSE_MS) bursts.push([]);
    bursts.at(-1)?.push(one);
  }
  const usual = middle(bursts.map(({ length }) => length));
  const text: HeardByte[] = [];
  const strayBefore = new Set<number>();
  for (const burst of bursts) {
    const alone = burst.length <= 2 && usual >= 6 && burst.every(({ byte }) => !closes(byte));
    if (alone) strayBefore.add(text.length);
    else text.push(...burst);
  }
  return { text, strayBefore };
}

function closes(byte: number): boolean {
  return [3, 4, 10, 13].includes(byte);
}

const keyOf = (run: Run): string => run.text;

function controlRuns(text: readonly HeardByte[]): Run[] {
  const runs: Run[] = [];
  for (let i = 0; i < text.length; i++) {
    if (!isControl(text[i]?.byte)) continue;
    const from = i;
    while (isControl(text[i + 1]?.byte)) i++;
    const bytes = text.slice(from, i + 1).map(({ byte }) => byte);
    runs.push({ from, to: i + 1, text: String.fromCharCode(...bytes) });
  }
  return runs;
}

function isControl(byte: number | undefined): boolean {
  return byte !== undefined && [1, 2, 3, 4, 10, 13].includes(byte);
}

export function mostCommon<T>(values: readonly T[]): { value: T; count: number } | null {
  const counts = new Map<T, number>();
  let best: { value: T; count: number } | null = null;
  for (const value of values) {
    const count = (counts.get(value) ?? 0) + 1;
    counts.set(value, count);
    if (best === null || count > best.count) best = { value, count };
  }
  return best;
}

interface Marks {
  start: string;
  end: string;
  afterEnd: number;
  why: string;
}

/** Divides what stands round an anchor into end, what follows it, and start. */
function cut(text: readonly HeardByte[], anchors: Run[], run: string): Marks {
  const opener = /[\x01\x02]$/.exec(run)?.[0] ?? '';
  if (opener !== '')
    return { start: opener, end: run.slice(0, -1), afterEnd: 0, why: ', then a start follows' };
  const apart = startApart(text, anchors);
  if (apart !== null)
    return { start: apart.start, end: run, afterEnd: apart.offset, why: ', then a start follows' };
  const pause = pauseAt(text, anchors, run.length);
  if (pause === null) return { start: '', end: run, afterEnd: 0, why: '' };
  const why = `, and the line pauses after it (${Math.round(pause.ms)} ms)`;
  if (pause.offset >= 0) return { start: '', end: run, afterEnd: pause.offset, why };
  const at = run.length + pause.offset;
  return { start: run.slice(at), end: run.slice(0, at), afterEnd: 0, why };
}

/** A start (0x01 or 0x02) that follows the end after a check sum of constant length. */
function startApart(
  text: readonly HeardByte[],
  anchors: Run[],
): { start: string; offset: number } | null {
  const found = anchors.map(({ to }) => {
    for (let offset = 1; offset <= 4; offset++) {
      const byte = text[to + offset]?.byte;
      if (byte === 1 || byte === 2) return `${offset}${String.fromCharCode(byte)}`;
    }
    return '';
  });
  const common = mostCommon(found.filter((one) => one !== ''));
  if (common === null || common.count < anchors.length * 0.6) return null;
  return { offset: Number(common.value[0]), start: common.value.slice(1) };
}

/** Where the line mostly pauses, counted from behind the anchor; null where it does not. */
function pauseAt(
  text: readonly HeardByte[],
  anchors: Run[],
  length: number,
): { offset: number; ms: number } | null {
  const sums = new Map<number, number>();
  for (const { to } of anchors)
    for (let offset = 1 - length; offset <= 4; offset++) {
      const before = text[to + offset - 1];
      const after = text[to + offset];
      if (before && after) sums.set(offset, (sums.get(offset) ?? 0) + after.t - before.t);
    }
  const right = sums.get(0) ?? 0;
  const best = [...sums].reduce<[number, number]>((a, b) => (b[1] > a[1] ? b : a), [0, right]);
  const [offset, ms] = best[1] > right * 1.5 ? best : [0, right];
  const mean = ms / Math.max(1, anchors.length);
  return mean < 1 ? null : { offset, ms: mean };
}

function between(
  text: readonly HeardByte[],
  anchors: Run[],
  marks: Marks,
  strayBefore: ReadonlySet<number>,
): Frame[] {
  const { start, end, afterEnd } = marks;
  const frames: Frame[] = [];
  const runLength = anchors[0]?.text.length ?? 0;
  const closedBy = end.length - runLength;
  const chars = (a: number, b: number): string =>
    String.fromCharCode(...text.slice(a, b).map(({ byte }) => byte));
  for (const [i, anchor] of anchors.entries()) {
    const before = anchors[i - 1];
    const from = before ? before.to + closedBy + afterEnd : 0;
    const bodyFrom = from + start.length;
    const bodyTo = anchor.from;
    const last = bodyTo + end.length + afterEnd;
    if (bodyTo <= bodyFrom || last > text.length || bodyTo - bodyFrom > 128) continue;
    if (chars(from, bodyFrom) !== start) continue;
    frames.push({
      t: text[last - 1]?.t ?? 0,
      body: chars(bodyFrom, bodyTo),
      after: chars(bodyTo + end.length, last),
      whole: chars(from, last),
      stray: strayBefore.has(from),
    });
  }
  return frames;
}

/** Each end with the last start before it: whatever came between two frames spoils neither. */
function fromStart(
  text: readonly HeardByte[],
  { start, end }: Marks,
  strayBefore: ReadonlySet<number>,
): Frame[] {
  const all = String.fromCharCode(...text.map(({ byte }) => byte));
  const frames: Frame[] = [];
  let before = 0;
  for (let at = all.indexOf(end); at >= 0; at = all.indexOf(end, at + end.length)) {
    const from = all.lastIndexOf(start, at - 1);
    const to = at + end.length;
    const body = all.slice(from + start.length, at);
    if (from >= before && body !== '' && body.length <= 128) {
      const t = text[to - 1]?.t ?? 0;
      frames.push({ t, body, after: '', whole: all.slice(from, to), stray: strayBefore.has(from) });
      before = to;
    }
  }
  return frames;
}

/** What came before the first end may be the tail of a frame: it is one only if others are as long. */
function withoutTail([first, ...others]: Frame[]): Frame[] {
  if (!first) return [];
  const whole = others.some(({ body }) => body.length === first.body.length);
  return whole ? [first, ...others] : others;
}

/** The time from one frame to the next, ms: a line through the arrivals, which may have holes. */
export function periodOf(frames: readonly { t: number }[]): number | null {
  const steps = frames.slice(1).map((frame, i) => frame.t - (frames[i]?.t ?? 0));
  if (steps.length < 2) return null;
  let period = middle(steps);
  if (period <= 0) return null;
  for (let round = 0; round < 3; round++) {
    let time = 0;
    let count = 0;
    for (const step of steps) {
      const whole = Math.round(step / period);
      if (whole < 1 || Math.abs(step - whole * period) > period * 0.45) continue;
      time += step;
      count += whole;
    }
    if (count === 0) return null;
    period = time / count;
  }
  return period;
}

export function middle(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b);
  return sorted[Math.floor(sorted.length / 2)] ?? 0;
}
