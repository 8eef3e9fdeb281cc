import type { BadPattern } from './pattern.ts';
import { readPattern } from './pattern.ts';
import type { FrameProfile, ReaderMark, ScaleMark } from './schema.ts';

export type Mark = ScaleMark | ReaderMark;

/** One bit for each mark, so that a frame's marks are one number. */
export const MARK: Record<Mark, number> = {
  none: 0,
  steady: 1,
  motion: 2,
  zero: 4,
  over: 8,
  under: 16,
  error: 32,
  gross: 64,
  net: 128,
  plus: 256,
  minus: 512,
  kg: 1024,
  lb: 2048,
  g: 4096,
  t: 8192,
  ignore: 16384,
  animal: 32768,
  notAnimal: 65536,
};

/** The texts of a frame's fields by their places; undefined for an optional group left out. */
export type Texts = readonly (string | undefined)[];

export interface Fields {
  /** Null where the body has not wholly the shape of the profile. */
  split(body: string): Texts | null;
  /** Where each field's text stands. */
  places: Record<string, number>;
  /** The width of the body, where the columns say it. */
  width: number | null;
}

export interface Column {
  name: string;
  /** From 0. */
  from: number;
  /** One past the last. */
  to: number;
}

/** The columns in their order. */
export function readColumns(columns: Record<string, number | string>): Column[] {
  return Object.entries(columns)
    .map(([name, where]) => {
      const [first, last] = String(where).split('-').map(Number);
      return { name, from: (first ?? 1) - 1, to: last ?? first ?? 1 };
    })
    .sort((a, b) => a.from - b.from);
}

/** The fields of a body, or what is wrong with its pattern. */
export function readFields(body: FrameProfile['body']): Fields | BadPattern {
  if (body.columns !== undefined) return byColumns(readColumns(body.columns));
  const pattern = readPattern(body.pattern ?? '');
  if ('message' in pattern) return pattern;
  return { split: (text) => pattern.regex.exec(text), places: pattern.groups, width: null };
}

function byColumns(columns: Column[]): Fields {
  const width = columns.at(-1)?.to ?? 0;
  return {
    split: (text) =>
      text.length === width ? columns.map(({ from, to }) => text.slice(from, to)) : null,
    places: Object.fromEntries(columns.map(({ name }, index) => [name, index])),
    width,
  };
}

/** The marks that a frame's texts carry, as bits; -1 where a text is none of the profile's. */
export type ReadMarks = (texts: Texts) => number;

export function readMarks(profile: FrameProfile, places: Record<string, number>): ReadMarks {
  const tables = [
    ...Object.entries<Words>(profile.words).flatMap(([name, words]) =>
      words === 'any' ? [] : [{ place: places[name] ?? -1, meaning: wordTable(words) }],
    ),
    ...Object.entries(profile.bits).map(([name, bits]) => ({
      place: places[name] ?? -1,
      meaning: bitTable(bits),
    })),
  ];
  return (texts) => {
    let marks = 0;
    for (const { place, meaning } of tables) {
      const text = texts[place];
      if (text === undefined) continue;
      const more = meaning.get(keyOf(text));
      if (more === undefined) return -1;
      marks |= more;
    }
    return marks;
  };
}

/** Meanings by `keyOf` the text. */
type Table = Map<number | string, number>;

/** Short texts as numbers: to hash a piece of a line costs more than all else done with it. */
function keyOf(text: string): number | string {
  switch (text.length) {
    case 0:
      return 0;
    case 1:
      return 0x100 + text.charCodeAt(0);
    case 2:
      return 0x10000 + text.charCodeAt(0) * 0x100 + text.charCodeAt(1);
    default:
      return text;
  }
}

type Words = 'any' | Record<string, Mark | Mark[]>;

function wordTable(words: Exclude<Words, 'any'>): Table {
  return new Map(
    Object.entries(words).map(([text, marks]) => [
      keyOf(text),
      [marks].flat().reduce((sum, mark) => sum | MARK[mark], 0),
    ]),
  );
}

function bitTable(bits: Partial<Record<Mark, number>>): Table {
  const set = Object.entries(bits) as [Mark, number][];
  return new Map(
    Array.from({ length: 16 }, (_, low) => [
      keyOf(String.fromCharCode(0x30 + low)),
      set.reduce((sum, [mark, bit]) => sum | bitMark(mark, (low >> bit) & 1), 0),
    ]),
  );
}

/** A motion bit that is off says that the load is steady; other bits that are off say nothing. */
function bitMark(mark: Mark, on: number): number {
  if (on === 1) return MARK[mark];
  return mark === 'motion' ? MARK.steady : 0;
}
