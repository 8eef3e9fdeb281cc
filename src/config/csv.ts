import { CsvError, parse } from 'csv-parse/sync';
import type { ConfigError, Loaded } from './errors.ts';
import { suggestion } from './nearest.ts';

/** Far above any mob's list; keeps a wrong file from being read for minutes. */
export const MOST_CHARACTERS = 4 * 1024 * 1024;

/** Of a file of the wrong kind every row is wrong: the first ones say enough. */
const MOST_ERRORS = 20;

/** What is wrong with a field, and what to do; or the value that was read. */
export type FieldResult<T> = { value: T } | { message: string; remedy: string };

/** One row: its fields by column name, and how to point at one. */
export interface Row {
  line: number;
  field: (name: string) => string;
  error: (name: string, message: string, remedy: string) => ConfigError;
}

/** What is read, whole or not at all, with what a person should see before it is taken. */
export interface Imported<T> {
  rows: T[];
  preview: {
    rows: number;
    /** The columns that are used, as the file names them. */
    columns: string[];
    /** Columns of the file that mean nothing here. */
    unused: string[];
    /** The first rows, as they stand, for the columns that are used. */
    first: string[][];
    /** Rows left out because they say the same as one before. */
    repeated: number;
  };
}

/** The columns that a file may have, each with other names for it. */
export type Columns = Record<string, { required: boolean; names: string[] }>;

interface Parsed {
  info: { lines: number };
  record: string[];
  raw: string;
}

interface Table {
  file: string;
  delimiter: string;
  records: Parsed[];
}

/**
 * Reads a CSV file (comma, semicolon or tab; with a header line) and turns each row into a value.
 * All or nothing: one wrong row and there is no value, but every error by line.
 * @param headerless tells by the first row that there is no header: the only column is the first one
 * @param read one row; equal results (by their JSON) are taken once
 */
export function readCsv<T>(
  text: string,
  file: string,
  columns: Columns,
  read: (row: Row, delimiter: string) => T | ConfigError[],
  headerless: (first: string[]) => boolean = () => false,
): Loaded<Imported<T>> {
  const table = parseTable(text, file);
  if ('errors' in table) return { ok: false, errors: table.errors };
  const [first, ...others] = table.records;
  if (first === undefined)
    return failed(file, 1, 'the file is empty', 'Check that it is the right file.');
  const bare = headerless(first.record);
  const header = bare ? [Object.keys(columns)[0] ?? ''] : first.record;
  const rows = bare ? table.records : others;
  const found = findColumns(columns, header, file, first.info.lines);
  if ('errors' in found) return { ok: false, errors: found.errors };
  if (rows.length === 0)
    return failed(file, 1, 'there is no row below the header', 'Add rows or choose another file.');
  return readRows(table, rows, header, found.places, read);
}

function failed(file: string, line: number, message: string, remedy: string) {
  return { ok: false as const, errors: [{ file, line, column: 1, message, remedy }] };
}

function parseTable(text: string, file: string): Table | { errors: ConfigError[] } {
  if (text.length > MOST_CHARACTERS)
    return failed(file, 1, 'the file is too long', 'Check that it is the right file.');
  const delimiter = delimiterOf(text);
  try {
    const records = parse(text, {
      bom: true,
      delimiter,
      info: true,
      raw: true,
      relax_column_count: true,
      skip_records_with_empty_values: true,
      trim: true,
    }) as unknown as Parsed[];
    return { file, delimiter, records };
  } catch (error) {
    if (!(error instanceof CsvError)) throw error;
    const line = typeof error['lines'] === 'number' ? error['lines'] : 1;
    const message = `the row cannot be read (${error.message})`;
    return failed(file, line, message, 'Close or remove the quotes.');
  }
}

function delimiterOf(text: string): string {
  const line = text.split(/\r?\n/, 1)[0] ?? '';
  const count = (one: string): number => line.split(one).length;
  return [';', '\t'].find((one) => count(one) > count(',')) ?? ',';
}

function findColumns(
  columns: Columns,
  header: string[],
  file: string,
  line: number,
): { places: Map<string, number> } | { errors: ConfigError[] } {
  const plain = header.map((name) => name.toLowerCase().replace(/[\s_-]/g, ''));
  const places = new Map<string, number>();
  const errors: ConfigError[] = [];
  const at = (message: string, remedy: string): void => {
    errors.push({ file, line, column: 1, message, remedy });
  };
  for (const [name, { required, names }] of Object.entries(columns)) {
    const fits = plain.flatMap((one, index) => ([name, ...names].includes(one) ? [index] : []));
    const place = fits[0];
    if (place !== undefined) places.set(name, place);
    if (fits.length > 1) at(`two columns mean ${name}`, 'Remove one of them.');
    if (place === undefined && required)
      at(
        `there is no column ${name}`,
        suggestion(
          name,
          header.filter((one) => one !== ''),
        ),
      );
  }
  return errors.length > 0 ? { errors } : { places };
}

function readRows<T>(
  table: Table,
  records: Parsed[],
  header: string[],
  places: Map<string, number>,
  read: (row: Row, delimiter: string) => T | ConfigError[],
): Loaded<Imported<T>> {
  const errors: ConfigError[] = [];
  const rows = new Map<string, T>();
  for (const record of records) {
    const row = rowOf(table, record, places);
    if (record.record.length > header.length)
      errors.push(row.error('', 'the row has more fields than the header', 'Check its commas.'));
    const value = read(row, table.delimiter);
    if (isErrors(value)) errors.push(...value);
    else rows.set(JSON.stringify(value), value);
  }
  if (errors.length > 0) return { ok: false, errors: capped(errors) };
  const used = [...places.values()].sort((a, b) => a - b);
  return {
    ok: true,
    value: {
      rows: [...rows.values()],
      preview: {
        rows: rows.size,
        columns: used.map((place) => header[place] ?? ''),
        unused: header.filter((name, place) => !used.includes(place) && name !== ''),
        first: records.slice(0, 5).map(({ record }) => used.map((place) => record[place] ?? '')),
        repeated: records.length - rows.size,
      },
    },
  };
}

function isErrors(value: unknown): value is ConfigError[] {
  return Array.isArray(value);
}

function rowOf(table: Table, parsed: Parsed, places: Map<string, number>): Row {
  const line = parsed.info.lines;
  return {
    line,
    field: (name) => parsed.record[places.get(name) ?? -1] ?? '',
    error: (name, message, remedy) => {
      const column = columnOf(parsed.raw, table.delimiter, places.get(name) ?? 0);
      return { file: table.file, line, column, message, remedy };
    },
  };
}

/** Where a field begins in its line; with quotes, which may hold delimiters, the line's beginning. */
function columnOf(raw: string, delimiter: string, place: number): number {
  if (raw.includes('"')) return 1;
  const before = raw
    .replace(/^[\uFEFF\r\n]+/, '')
    .split(delimiter)
    .slice(0, place);
  return before.reduce((sum, one) => sum + one.length + 1, 1);
}

function capped(errors: ConfigError[]): ConfigError[] {
  const last = errors[MOST_ERRORS];
  if (last === undefined) return errors;
  const more = errors.length - MOST_ERRORS;
  const summary = {
    ...last,
    message: `${String(more)} more errors from here on`,
    remedy: 'Check that it is the right file.',
  };
  return [...errors.slice(0, MOST_ERRORS), summary];
}
