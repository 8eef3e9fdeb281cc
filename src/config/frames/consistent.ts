import type { z } from 'zod';
import { readColumns, readFields } from './fields.ts';
import type { FrameProfile } from './schema.ts';

type Report = (path: PropertyKey[], message: string) => void;

/** The checks that go beyond single settings; each message carries its remedy after a line break. */
export function checkFrame(profile: FrameProfile, context: z.RefinementCtx): void {
  const report: Report = (path, message) => {
    context.addIssue({ code: 'custom', path, message });
  };
  checkEnds(profile, report);
  checkChecksum(profile, report);
  const names = fieldNames(profile, report);
  if (names === null) return;
  checkMeanings(profile, names, report);
  if (profile.kind === 'scale') checkWeight(profile, names, report);
  else checkTag(profile, names, report);
  const proved = profile.checksum !== undefined || names.includes('telegram');
  if (profile.frame.end === undefined && !proved)
    report(
      ['frame'],
      'only the length closes the frame and no check sum proves it\nAdd "end:" or "checksum:"',
    );
}

/** The byte strings of which any one closes a frame. */
export function endsOf(profile: FrameProfile): string[] {
  const { end } = profile.frame;
  return end === undefined ? [] : [end].flat();
}

/** Bytes that the check sum takes in the frame. */
export function checksumBytes(profile: FrameProfile): number {
  const { checksum } = profile;
  if (!checksum) return 0;
  const parameters = checksum.crc;
  const bits =
    checksum.kind === 'sum16'
      ? 16
      : checksum.kind !== 'crc'
        ? 8
        : typeof parameters === 'object'
          ? parameters.width
          : 16;
  return (bits / 8) * (checksum.form === 'hex' ? 2 : 1);
}

function checkEnds(profile: FrameProfile, report: Report): void {
  const { end, length, maxBytes } = profile.frame;
  const ends = endsOf(profile);
  if (end === undefined && typeof length !== 'number')
    report(['frame'], 'nothing says where a frame ends\nAdd "end:" or a "length:" in bytes');
  if (typeof length === 'number' && length > maxBytes)
    report(['frame', 'length'], `{} is more than maxBytes (${maxBytes})\nRaise "maxBytes:"`);
  for (const [index, text] of ends.entries())
    if (ends.some((other, i) => i !== index && text.startsWith(other)))
      report(
        ['frame', 'end'],
        `${JSON.stringify(text)} begins with another end\nList the single characters: ["\\r", "\\n"]`,
      );
}

function checkChecksum(profile: FrameProfile, report: Report): void {
  const { checksum } = profile;
  if (!checksum) return;
  if ((checksum.kind === 'crc') !== (checksum.crc !== undefined))
    report(['checksum'], '"crc:" belongs to kind crc, and must be there\nName it or give it');
  const after = checksum.place === 'after-end';
  if (after && endsOf(profile).length !== 1)
    report(['checksum', 'place'], 'after-end needs one end\nGive "end:" one text');
  if (checksum.withEnd && !after)
    report(['checksum', 'withEnd'], '{} needs place: after-end\nRemove one of the two');
}

function fieldNames(profile: FrameProfile, report: Report): string[] | null {
  const { body, frame } = profile;
  if ((body.columns === undefined) === (body.pattern === undefined)) {
    report(['body'], 'the body needs "columns:" or "pattern:", not both\nKeep one');
    return null;
  }
  const fields = readFields(body);
  if ('message' in fields) {
    const column = `character ${fields.at + 1}`;
    report(['body', 'pattern'], `{}, ${column}: ${fields.message}\n${fields.remedy}`);
    return null;
  }
  checkColumns(body.columns ?? {}, report);
  const inBody = profile.checksum?.place === 'last' ? checksumBytes(profile) : 0;
  const width = fields.width === null ? null : fields.width + inBody;
  if (width !== null && typeof frame.length === 'number' && frame.length !== width)
    report(['frame', 'length'], `{} is not the width of the columns (${width})\nCorrect one`);
  return Object.keys(fields.places);
}

function checkColumns(columns: Record<string, number | string>, report: Report): void {
  let next = 0;
  for (const { name, from, to } of readColumns(columns)) {
    if (from !== next)
      report(
        ['body', 'columns', name],
        `{} begins at column ${from + 1}, the one before ends at ${next}\nName every column once`,
      );
    if (to <= from) report(['body', 'columns', name], '{} is turned round\nWrite the lower first');
    next = Math.max(next, to);
  }
}

const OWN_FIELDS: Record<FrameProfile['kind'], string[]> = {
  scale: ['weight'],
  reader: ['tag', 'country', 'number', 'hex', 'telegram'],
};

function checkMeanings(profile: FrameProfile, names: string[], report: Report): void {
  const own = OWN_FIELDS[profile.kind];
  const explained = { ...profile.words, ...profile.bits };
  for (const name of names)
    if (!own.includes(name) && !(name in explained))
      report(['body'], `nothing says what the field "${name}" means\nName it under "words:"`);
  for (const part of ['words', 'bits'] as const)
    for (const name of Object.keys(profile[part]))
      if (own.includes(name) || !names.includes(name))
        report([part, name], '{} is no field of the body that needs words\nRemove it');
}

type Of<K extends FrameProfile['kind']> = Extract<FrameProfile, { kind: K }>;

function checkWeight(profile: Of<'scale'>, names: string[], report: Report): void {
  if (!names.includes('weight'))
    report(['body'], 'no field is named weight\nName the one that holds the number so');
  const units = ['kg', 'lb', 'g', 't'];
  const named = Object.values(profile.words)
    .flatMap((words) => (words === 'any' ? [] : Object.values(words).flat()))
    .some((mark) => units.includes(mark));
  if (!named && profile.weight.unit === undefined)
    report(['weight'], 'nothing says the unit\nAdd "unit: kg" under "weight:"');
  if (profile.weight.point === 'implied' && profile.weight.decimals === undefined)
    report(['weight'], 'an implied point needs its place\nAdd "decimals:"');
}

function checkTag(_: Of<'reader'>, names: string[], report: Report): void {
  const ways = [['tag'], ['country', 'number'], ['hex'], ['telegram']];
  const found = ways.filter((way) => way.every((name) => names.includes(name)));
  if (found.length !== 1)
    report(['body'], 'one field must hold the number\nName it tag, country and number, or hex');
}
