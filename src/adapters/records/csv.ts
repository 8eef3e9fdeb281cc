import { stringify } from 'csv-stringify/sync';
import type { BookRow, DayBook } from './day-book.ts';

/** How a spreadsheet wants it. */
export interface CsvStyle {
  separator: string;
  decimal: '.' | ',';
  /** Some spreadsheets take the text for UTF-8 only with a byte order mark in front. */
  bom: boolean;
}

export const PLAIN_CSV: CsvStyle = { separator: ',', decimal: '.', bom: false };

/** One header line and one line an animal, those that do not count included with the reason why. */
export function bookCsv(book: DayBook, style: CsvStyle = PLAIN_CSV): string {
  const lines = book.rows.map((row) => COLUMNS.map(([, value]) => cell(value(row, book), style)));
  return stringify([COLUMNS.map(([name]) => name), ...lines], {
    delimiter: style.separator,
    bom: style.bom,
  });
}

type Value = string | number | boolean | null;

const COLUMNS: readonly (readonly [string, (row: BookRow, book: DayBook) => Value])[] = [
  ['day', (row) => row.day],
  ['time', (row) => row.localTime.slice(11)],
  ['utc', (row) => new Date(row.atMs).toISOString()],
  ['clock', (row) => row.clock],
  ['session', (row) => row.session],
  ['farm', (row, book) => book.sessions.find(({ id }) => id === row.session)?.farm ?? null],
  ['animal', (row) => row.animal],
  ['tag', (row) => row.tag],
  ['kg', (row) => row.recordedKg],
  ['uncertaintyKg', (row) => row.uncertaintyKg],
  ['lot', (row) => row.lot],
  ['exit', (row) => row.exit],
  ['pen', (row) => row.pen],
  ['plan', (row) => row.plan?.name ?? null],
  // Enough of the hash to tell any two plans of a site apart.
  ['planVersion', (row) => row.plan?.hash.slice(0, 12) ?? null],
  ['rule', (row) => row.rule],
  ['reason', (row) => row.reason],
  ['unsure', (row) => row.unsure],
  ['flags', (row) => row.flags.join(' ')],
  ['marks', (row) => row.marks.map(({ name, value }) => `${name}: ${String(value)}`).join('; ')],
  ['notCounted', (row) => row.notCounted],
  ['product', (row) => row.given?.product ?? null],
  ['batch', (row) => row.given?.batch ?? null],
  // Empty with a product: nobody knows whether it was given.
  ['ml', (row) => row.given?.ml ?? null],
];

function cell(value: Value, style: CsvStyle): string {
  if (value === null) return '';
  if (typeof value === 'number') return String(value).replace('.', style.decimal);
  if (typeof value === 'boolean') return value ? 'yes' : 'no';
  return neutral(value);
}

/**
 * A text that a spreadsheet would run as a formula gets an apostrophe in front (OWASP, "CSV
 * Injection": = + - @ tab and carriage return, and their full-width forms), also behind a sign at
 * which a spreadsheet of another language begins a cell.
 */
function neutral(text: string): string {
  const inside = text.replace(/([,;\t\r\n]["' ]*)(?=[=+\-@＝＋－＠])/gu, "$1'");
  return /^[=+\-@\t\r\n＝＋－＠]/u.test(inside) ? `'${inside}` : inside;
}
