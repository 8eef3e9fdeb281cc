import type { Decoder } from './decode.ts';
import type { Texts } from './fields.ts';
import { MARK, readMarks } from './fields.ts';
import { fromBits, fromTelegram, mayBeTelegram, TEST_CODE, toDigits } from './iso11784.ts';
import { checkedFields, createLine } from './line.ts';
import type { ReaderProfile } from './schema.ts';

/** What one whole frame of a tag reader says. */
export interface DecodedTag {
  /** 15 digits: code (3) and national number (12). */
  tag: string;
  /** The transponder says that it is an animal's, or not; left out where the frame does not say. */
  animal?: boolean;
  /** Code 999: a test tag, never a real animal's. */
  test?: true;
}

/** Bytes of a tag reader -> tags, kept from one call to the next. Never throws. */
export type TagDecoder = Omit<Decoder, 'push'> & { push: (bytes: Uint8Array) => DecodedTag[] };

/** A decoder of one profile; what does not match whole or is out of range is noise. */
export function createTagDecoder(profile: ReaderProfile): TagDecoder {
  const fields = checkedFields(profile);
  const marksOf = readMarks(profile, fields.places);
  let given: DecodedTag[] = [];
  const take = (texts: Texts): boolean => {
    const marks = marksOf(texts);
    const tag = marks < 0 ? null : readTag(texts, fields.places, marks);
    if (tag === null) return false;
    if ((marks & MARK.ignore) === 0) given.push(tag);
    return true;
  };
  const raw = profile.body.columns?.telegram === '1-16';
  const line = createLine(profile, fields, take, raw ? mayBeTelegram : undefined);
  return {
    push(bytes) {
      line.push(bytes);
      const tags = given;
      given = [];
      return tags;
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

function readTag(texts: Texts, places: Record<string, number>, marks: number): DecodedTag | null {
  const text = (name: string): string | undefined => texts[places[name] ?? -1];
  const hex = text('hex');
  const telegram = text('telegram');
  if (hex !== undefined) return /^[0-9A-Fa-f]{16}$/.test(hex) ? ofBits(BigInt(`0x${hex}`)) : null;
  if (telegram !== undefined) {
    const bits = fromTelegram(telegramBytes(telegram));
    return bits === null ? null : ofBits(bits);
  }
  const digits = text('tag') ?? `${text('country') ?? ''}${text('number') ?? ''}`;
  if (!/^\d{15}$/.test(digits)) return null;
  const tag = ofNumbers(Number(digits.slice(0, 3)), Number(digits.slice(3)));
  if (tag !== null && marks & (MARK.animal | MARK.notAnimal))
    tag.animal = (marks & MARK.animal) !== 0;
  return tag;
}

/** 16 raw bytes, or 32 hex digits. */
function telegramBytes(text: string): Uint8Array {
  return Buffer.from(text, /^[0-9A-Fa-f]{32}$/.test(text) ? 'hex' : 'latin1');
}

function ofBits(bits: bigint): DecodedTag | null {
  const { code, number, animal } = fromBits(bits);
  const tag = ofNumbers(code, number);
  return tag && { ...tag, animal };
}

function ofNumbers(code: number, number: number): DecodedTag | null {
  const tag = toDigits(code, number);
  if (tag === null) return null;
  return code === TEST_CODE ? { tag, test: true } : { tag };
}
