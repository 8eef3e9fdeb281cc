import { dayNumber } from '../core/sortplan/days.ts';
import type { Treatment, Use } from '../core/sortplan/withdrawal.ts';
import { readCsv } from './csv.ts';
import type { Columns, FieldResult, Imported, Row } from './csv.ts';
import type { ConfigError, Loaded } from './errors.ts';
import type { OfFarm } from './farms.ts';
import { suggestion } from './nearest.ts';

export type { Imported } from './csv.ts';

/** A weight from before, kg, on a day (see `dayNumber`). */
export interface EarlierWeight {
  tag: string;
  day: number;
  kg: number;
}

/** A tag of a list. */
export interface ListedTag extends OfFarm {
  tag: string;
}

/** A treatment of the record. */
export interface RecordedTreatment extends Treatment, OfFarm {}

const TAG = { required: true, names: ['eid', 'eidtag', 'rfid'] };
const DATE = ['day', 'on', 'weighedon'];

const FARM = { required: false, names: [] };

const TAG_COLUMNS: Columns = { tag: TAG, farm: FARM };
const WEIGHT_COLUMNS: Columns = {
  tag: TAG,
  kg: { required: true, names: ['weight', 'weightkg', 'recordedkg'] },
  date: { required: true, names: DATE },
};
const TREATMENT_COLUMNS: Columns = {
  product: { required: true, names: ['medicine'] },
  given: { required: true, names: ['givenon', 'date', 'lastdose'] },
  days: { required: true, names: ['withdrawaldays', 'meatdays', 'withdrawal'] },
  batch: { required: false, names: ['batchnumber'] },
  use: { required: false, names: [] },
  tag: { ...TAG, required: false },
  mob: { required: false, names: ['group'] },
  colour: { required: false, names: ['color', 'mark'] },
  farm: FARM,
};

/** Reads a tag list: a column `tag` and perhaps `farm`, or one tag a line with no header. */
export function readTags(text: string, file: string): Loaded<Imported<ListedTag>> {
  const isTag = (first: string[]): boolean => 'value' in tagField(first[0] ?? '');
  return readCsv(
    text,
    file,
    TAG_COLUMNS,
    (row) => {
      const tag = tagField(row.field('tag'));
      const farm = orNull(row.field('farm'));
      return 'value' in tag
        ? { tag: tag.value, farm }
        : [row.error('tag', tag.message, tag.remedy)];
    },
    isTag,
  );
}

/**
 * Reads earlier weights: columns `tag`, `kg`, `date`.
 * @param today no weight is later than this; null where the clock is not set
 */
export function readWeights(
  text: string,
  file: string,
  today: number | null,
): Loaded<Imported<EarlierWeight>> {
  const before = new Map<string, number>();
  return readCsv(text, file, WEIGHT_COLUMNS, (row, delimiter) => {
    const errors: ConfigError[] = [];
    const tag = take(row, 'tag', tagField(row.field('tag')), errors);
    const kg = take(row, 'kg', kgField(row.field('kg'), delimiter), errors);
    const day = take(row, 'date', dayField(row.field('date'), today), errors);
    if (tag === null || kg === null || day === null) return errors;
    const key = `${tag} ${String(day)}`;
    if ((before.get(key) ?? kg) !== kg)
      return [row.error('kg', `${tag} has two weights on that day`, 'Keep the right one.')];
    before.set(key, kg);
    return { tag, day, kg };
  });
}

/**
 * Reads treatments: columns `product`, `given` (day of the last dose), `days`, and at least one of
 * `tag`, `mob`, `colour`; `batch`, `farm` and `use` may be left out (`label`, `off-label`, `not-for-food`).
 * @param today no treatment is later than this; null where the clock is not set
 */
export function readTreatments(
  text: string,
  file: string,
  today: number | null,
): Loaded<Imported<RecordedTreatment>> {
  return readCsv(text, file, TREATMENT_COLUMNS, (row) => {
    const errors: ConfigError[] = [];
    const product = take(row, 'product', wordField(row, 'product'), errors);
    const givenDay = take(row, 'given', dayField(row.field('given'), today), errors);
    const days = take(row, 'days', periodField(row.field('days')), errors);
    const use = take(row, 'use', useField(row.field('use')), errors);
    const tag = row.field('tag') === '' ? '' : take(row, 'tag', tagField(row.field('tag')), errors);
    const mob = orNull(row.field('mob'));
    const colour = orNull(row.field('colour'));
    if (tag === '' && mob === null && colour === null)
      errors.push(row.error('tag', 'given to nobody', 'Fill in tag, mob or colour.'));
    if (product === null || givenDay === null || days === null || use === null || tag === null)
      return errors;
    if (errors.length > 0) return errors;
    const batch = row.field('batch');
    return {
      product,
      batch,
      givenDay,
      days: days.days,
      use,
      tags: tag === '' ? [] : [tag],
      mob,
      colour,
      farm: orNull(row.field('farm')),
    };
  });
}

function orNull(text: string): string | null {
  return text === '' ? null : text;
}

function take<T>(row: Row, name: string, result: FieldResult<T>, errors: ConfigError[]): T | null {
  if ('value' in result) return result.value;
  errors.push(row.error(name, result.message, result.remedy));
  return null;
}

/**
 * An electronic tag of 15 digits; spaces and a leading 0, A or LA (loose forms of readers) are taken
 * off. The number of 12 digits has 38 bits (ISO 11784).
 */
export function tagField(text: string): FieldResult<string> {
  if (text === '') return { message: 'the tag is missing', remedy: 'Fill it in.' };
  if (/^\d([.,]\d+)?e\+?\d+$/i.test(text))
    return {
      message: `the spreadsheet has shortened the tag to ${text}`,
      remedy: 'Format the column as text and export it again.',
    };
  const digits = /^'?(?:LA|A|0)?(\d{15})$/i.exec(text.replace(/\s/g, ''))?.[1];
  if (digits === undefined)
    return { message: `"${text.slice(0, 40)}" is not a tag`, remedy: 'Write its 15 digits.' };
  if (Number(digits.slice(3)) > 274_877_906_943 || digits.startsWith('000'))
    return {
      message: `${digits} is outside the range of tag numbers`,
      remedy: 'Read the tag again.',
    };
  return { value: digits };
}

function wordField(row: Row, name: string): FieldResult<string> {
  const text = row.field(name);
  return text === '' ? { message: `${name} is missing`, remedy: 'Fill it in.' } : { value: text };
}

function kgField(text: string, delimiter: string): FieldResult<number> {
  const plain = delimiter === ',' ? text : text.replace(',', '.');
  if (!/^\d+(\.\d+)?$/.test(plain))
    return { message: `"${text}" is not a weight in kg`, remedy: 'Write the number alone.' };
  const kg = Number(plain);
  if (kg <= 0 || kg > 1000)
    return {
      message: `${text} kg is out of range`,
      remedy: 'Give more than 0 and at most 1000 kg.',
    };
  return { value: kg };
}

/** Only year-month-day: with day and month the other way round a withdrawal would end wrongly. */
function dayField(text: string, today: number | null): FieldResult<number> {
  const day = dayNumber(text);
  if (day === null)
    return {
      message: text === '' ? 'the day is missing' : `"${text}" is no day that can be told for sure`,
      remedy: 'Write it as year-month-day, e.g. 2026-09-14.',
    };
  if (today !== null && day > today)
    return { message: `${text} has not come yet`, remedy: 'Correct the day.' };
  return { value: day };
}

function periodField(text: string): FieldResult<{ days: number | null }> {
  if (text === 'unclear') return { value: { days: null } };
  if (!/^\d{1,3}$/.test(text))
    return {
      message: text === '' ? 'the withdrawal days are missing' : `"${text}" is no period`,
      remedy: 'Write whole days for meat from the label, rounded up, or unclear: it is held then.',
    };
  return { value: { days: Number(text) } };
}

function useField(text: string): FieldResult<Use> {
  const uses: Use[] = ['label', 'off-label', 'not-for-food'];
  const use = text === '' ? 'label' : uses.find((one) => one === text.toLowerCase());
  if (use === undefined)
    return { message: `"${text}" is no kind of use`, remedy: suggestion(text, uses) };
  return { value: use };
}
