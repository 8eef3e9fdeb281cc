/** Writes down what was found as a profile of a weigh head, with samples from the line itself. */
import { stringify } from 'yaml';
import { runSamples } from '../config/frames/samples.ts';
import { scaleProfile, type ScaleProfile } from '../config/frames/schema.ts';
import { createDecoder, type DecodedReading } from '../config/frames/decode.ts';
import type { Mark } from './marks.ts';
import type { Row, Unit, WeightField } from './number.ts';
import type { Found } from './scan.ts';
import type { Split } from './split.ts';
import type { FoundSum } from './sums.ts';

export interface Parts {
  serial: { baud: number; framing: string };
  /** Question that the head was asked with; null where it speaks by itself. */
  ask: { send: string; everyMs: number } | null;
  split: Split;
  sum: FoundSum | null;
  weight: WeightField;
  marks: Mark[];
  unit: Unit;
  /** Digits after the point; where none is written, where it is taken to stand. */
  decimals: number;
  periodMs: number;
  about: string;
}

export interface Written {
  profile: ScaleProfile;
  yaml: string;
}

/** The profile; null with the reason where what was found cannot be written as one. */
export function writeProfile(parts: Parts): Written | string {
  const samples = sampleFrames(parts.weight.rows);
  const draft = {
    ...skeleton(parts),
    samples: samples.map((bytes) => ({ bytes, reads: 'nothing' })),
    bad: ['?'],
  };
  const first = scaleProfile.safeParse(draft);
  if (!first.success) return first.error.issues.map(({ message }) => message).join('; ');
  return withSamples({ ...skeleton(parts) }, first.data, samples);
}

/** How the profile opens the port; the usual way where the line is alike at every speed. */
export function serialOf({ baud, framing }: Found): Parts['serial'] {
  return { baud: baud ?? 9600, framing: framing ?? '8N1' };
}

/** A shipped profile with the line's speed and samples. */
export function fromKnown(
  known: ScaleProfile,
  serial: Parts['serial'],
  ask: Parts['ask'],
  frames: readonly string[],
): Written | string {
  // The line was heard without what the shipped one sends when the port is opened.
  const plain = clean({
    ...known,
    serial,
    begin: undefined,
    ask: ask === null ? undefined : question(ask),
  });
  const draft = {
    ...plain,
    samples: frames.map((bytes) => ({ bytes, reads: 'nothing' })),
    bad: ['?'],
  };
  const first = scaleProfile.safeParse(draft);
  if (!first.success) return first.error.issues.map(({ message }) => message).join('; ');
  return withSamples(plain, first.data, frames);
}

function question({ send, everyMs }: NonNullable<Parts['ask']>): object {
  return { send, everyMs, timeoutMs: Math.max(300, everyMs), retries: 3 };
}

/** Fills in what each sample reads as, and frames that lost a byte, which must give nothing. */
function withSamples(
  plain: Record<string, unknown>,
  draft: ScaleProfile,
  frames: readonly string[],
): Written | string {
  const samples = frames.flatMap((bytes) => {
    const reads = readOnce(draft, bytes);
    return reads === null ? [] : [{ bytes, reads }];
  });
  const cut = frames.slice(0, 2).map((bytes) => bytes.slice(0, 3) + bytes.slice(4));
  const bad = [...((plain.bad as string[] | undefined) ?? []), ...cut].filter(
    (bytes) => bytes.length > 0 && readOnce(draft, bytes) === null,
  );
  const end = [draft.frame.end ?? ''].flat()[0] ?? '';
  bad.push(`${draft.frame.start ?? ''}?${end}`);
  const whole = { ...plain, samples, bad };
  const parsed = scaleProfile.safeParse(clean(whole));
  if (!parsed.success) return parsed.error.issues.map(({ message }) => message).join('; ');
  const wrong = runSamples(parsed.data).find(({ expected }) => expected !== null);
  if (wrong) return `the sample ${JSON.stringify(wrong.bytes)} reads as ${wrong.gave}`;
  const text = stringify(asYaml(clean(whole)), { lineWidth: 96 });
  return { profile: parsed.data, yaml: text };
}

/** Without keys that are undefined. */
function clean(value: Record<string, unknown>): Record<string, unknown> {
  return Object.fromEntries(Object.entries(value).filter(([, one]) => one !== undefined));
}

/** Bytes beyond ASCII are written in hex, since YAML has characters and no bytes. */
function asYaml(profile: Record<string, unknown>): Record<string, unknown> {
  const bytes = (text: string): unknown =>
    /^[\x00-\x7e]*$/.test(text) ? text : { hex: hexOf(text) };
  const samples = profile.samples as { bytes: string; reads: unknown }[];
  const bad = profile.bad as string[];
  return {
    ...profile,
    samples: samples.map((one) => ({ ...one, bytes: bytes(one.bytes) })),
    bad: bad.map(bytes),
  };
}

function hexOf(text: string): string {
  return Array.from(text, (char) => char.charCodeAt(0).toString(16).padStart(2, '0')).join(' ');
}

function readOnce(profile: ScaleProfile, bytes: string): DecodedReading | null {
  const decoder = createDecoder(profile);
  const end = [profile.frame.end ?? ''].flat()[0] ?? '';
  const all = [end, bytes, bytes].flatMap((text) => decoder.push(toBytes(text)));
  return all.at(-1) ?? null;
}

export function toBytes(text: string): Uint8Array {
  return Uint8Array.from(text, (char) => char.charCodeAt(0));
}

/** Up to five frames that differ: the last, the lightest, the heaviest, and ones between. */
function sampleFrames(rows: readonly Row[]): string[] {
  const sorted = [...rows].sort((a, b) => a.digits - b.digits);
  const chosen = [
    rows.at(-1),
    sorted[0],
    sorted.at(-1),
    rows[0],
    rows[Math.floor(rows.length / 2)],
  ];
  return [...new Set(chosen.flatMap((row) => (row ? [row.frame.whole] : [])))];
}

/** From one frame to the next where a second one is too long to wait for. */
const SLOW_MS = 450;

function skeleton(parts: Parts): Record<string, unknown> {
  const { weight, split, sum, serial, ask, decimals, unit } = parts;
  const lengths = weight.rows.map(({ frame }) => frame.body.length);
  // A frame that lost a digit must not pass for a lighter animal. A slow head would lose too many
  // weights so: after every change of width the animal stands for one frame more.
  const open = sum === null && parts.periodMs < SLOW_MS ? { length: 'same' } : {};
  const length = weight.columns === null ? open : { length: lengths[0] };
  const start = split.start === '' ? {} : { start: split.start };
  const { pattern, words, bits } = bodyOf(parts);
  return clean({
    kind: 'scale',
    name: 'Found on the line',
    about: parts.about,
    serial,
    silenceMs: Math.min(60_000, Math.max(1000, Math.ceil((3 * parts.periodMs) / 100) * 100)),
    ask: ask === null ? undefined : question(ask),
    frame: { ...start, end: split.end, ...length, maxBytes: Math.max(...lengths) + 8 },
    body: { pattern },
    words,
    bits,
    checksum: sum === null ? undefined : checksumOf(sum),
    weight:
      weight.point === null && decimals > 0
        ? { unit, point: 'implied', decimals }
        : { unit, decimals, ...(weight.point === ',' ? { pointSign: ',' } : {}) },
  });
}

function checksumOf(sum: FoundSum): Record<string, unknown> {
  const { kind, crc, place, form, lowFirst, withStart, withEnd } = sum;
  const flags = { lowFirst, withStart, withEnd };
  const set = Object.entries(flags).filter(([, on]) => on);
  return { kind, ...(crc === undefined ? {} : { crc }), place, form, ...Object.fromEntries(set) };
}

interface Body {
  pattern: string;
  words: Record<string, unknown>;
  bits: Record<string, unknown>;
}

function bodyOf({ weight, marks, sum }: Parts): Body {
  const body: Body = { pattern: '', words: {}, bits: {} };
  const inBody = sum?.place === 'last' ? sum.size : 0;
  const used = new Map<string, number>();
  const add = (mark: Mark, open: boolean): void => {
    const { kind, texts } = mark;
    if (kind === 'literal') {
      body.pattern += escaped(texts[0] ?? '');
      return;
    }
    const base = { motion: 'state', zero: 'zero', bits: 'status', any: 'other' }[kind];
    const count = (used.get(base) ?? 0) + 1;
    used.set(base, count);
    const name = count === 1 ? base : `${base}${count}`;
    body.pattern += `(?<${name}>${shape(mark, open)})`;
    if (kind === 'bits') body.bits[name] = mark.bits;
    else body.words[name] = kind === 'any' ? 'any' : mark.words;
  };
  for (const mark of marks.filter(({ side }) => side === 'left')) add(mark, false);
  body.pattern += `(?<weight>${numberShape(weight)})${escaped(weight.unitText)}`;
  const open = weight.columns === null && weight.point === null && weight.unitText === '';
  const right = marks.filter(({ side }) => side === 'right');
  const width = (weight.rows[0]?.right.length ?? 0) - inBody;
  for (const [i, mark] of right.entries()) if (mark.from < width) add(mark, open && i === 0);
  return body;
}

/** After a number without a fixed end the next characters must be told from digits. */
function shape({ from, to, texts }: Mark, open: boolean): string {
  if (!open) return to - from === 1 ? '.' : `.{${to - from}}`;
  const first = [...new Set(texts.map((text) => text[0] ?? ''))];
  const rest = to - from > 1 ? `.{${to - from - 1}}` : '';
  return `[${first.map((char) => (/[A-Za-z0-9 ]/.test(char) ? char : `\\${char}`)).join('')}]${rest}`;
}

function numberShape({ columns, point, decimals, rows }: WeightField): string {
  const sign = point ?? '';
  if (columns !== null) return `[-+ 0-9${sign}]{${columns.to - columns.from}}`;
  const after = rows.some(({ text }) => text.endsWith(' ')) ? ' *' : '';
  const before = rows.some(({ text }) => /^[-+]? /.test(text)) ? '[-+ ]*' : '[-+]?';
  const digits = point === null ? '[0-9]+' : `[0-9]+\\${point}[0-9]{${decimals}}`;
  return before + digits + after;
}

function escaped(text: string): string {
  return text.replace(/[^A-Za-z0-9 _,;:=<>!@#%&~"'`/-]/g, (char) => `\\${char}`);
}
