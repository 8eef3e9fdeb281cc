import { InvalidArgumentError, Option, type Command } from 'commander';
import { readChecks, type CheckLine } from '../adapters/records/check-weights.ts';
import { bookCsv } from '../adapters/records/csv.ts';
import type { Evening } from '../adapters/evening.ts';
import { readDay, type DayBook } from '../adapters/records/day-book.ts';
import { eveningOf } from '../adapters/records/evening.ts';
import { bookIcar } from '../adapters/records/icar.ts';
import { forgetFarm } from '../adapters/records/forget.ts';
import { SiteTaken } from '../adapters/records/lock.ts';
import { NoBook, openForReading } from '../adapters/records/reader.ts';
import { bookTable } from '../adapters/records/table.ts';

interface BookOptions {
  site: string;
  day?: string;
  farm?: string;
  format: 'table' | 'csv' | 'icar';
  separator: string;
  decimal: '.' | ',';
  bom?: true;
  killingOut?: number;
  target?: number;
  forgetFarm?: string;
}

const EXAMPLES = `
Examples:
  fank book                                  the latest day with crossings, to read
  fank book --day 2026-09-12 --format csv    one line an animal, for a spreadsheet
  fank book --killing-out 45 --target 42     with carcass weights, and who is 42 kg when
  fank book --format csv --separator ';' --decimal , --bom
  fank book --format icar > weights.json     ICAR Animal Data Exchange
  fank book --forget-farm Upper              everything of that farm is deleted

Exit code: 0 printed; 1 no crossings on that day; 2 wrong use, or a day book that cannot be read.`;

/** Registers `fank book`. */
export function bookCommand(program: Command): void {
  program
    .command('book')
    .description('print the day book of one day')
    .option('--site <dir>', 'site folder', './fank-site')
    .option(
      '--day <YYYY-MM-DD>',
      'the day by the clock of the site; the latest with crossings if not said',
    )
    .option('--farm <name>', 'only the sessions of this farm')
    .addOption(
      new Option('--format <format>', 'what to print')
        .choices(['table', 'csv', 'icar'])
        .default('table'),
    )
    .option('--separator <character>', 'between the columns of the csv', ',')
    .addOption(
      new Option('--decimal <sign>', 'decimal sign of the csv').choices(['.', ',']).default('.'),
    )
    .option('--bom', 'mark the csv as UTF-8, for spreadsheets that take it for something else')
    .addOption(
      new Option('--killing-out <percent>', "the farmer's own, for the carcass weights").argParser(
        between(30, 70),
      ),
    )
    .addOption(
      new Option(
        '--target <kg>',
        'weight to be reached; the lowest cut of the plan if not said',
      ).argParser(between(1, 1000)),
    )
    .option('--forget-farm <name>', 'delete everything of this farm, after a backup')
    .addHelpText('after', EXAMPLES)
    .action((options: BookOptions) => {
      const { site, forgetFarm: farm } = options;
      process.exitCode = farm === undefined ? printBook(options) : forget(site, farm);
    });
}

function forget(site: string, farm: string): number {
  try {
    const done = forgetFarm(site, farm, Date.now());
    if (done === null) return say(`Neither day book nor lists know a farm ${farm}.`, 1);
    const { sessions, crossings, backup } = done;
    return say(
      `Deleted of ${farm}: ${String(sessions)} sessions, ${String(crossings)} crossings, its rows in lists. ` +
        `As it was before: ${backup}. Delete that too, and the traces of those days in traces/, where nothing may stay.`,
      0,
    );
  } catch (error) {
    if (error instanceof NoBook || error instanceof SiteTaken) return say(error.message, 2);
    throw error;
  }
}

/** Checks with a known mass of one day that are printed. */
const MOST_CHECKS = 20;

function printBook(options: BookOptions): number {
  const wrong = wrongUse(options);
  if (wrong !== null) return say(wrong, 2);
  let book: DayBook | null;
  let evening: Evening | null = null;
  let massChecks: CheckLine[] = [];
  try {
    const db = openForReading(options.site);
    try {
      book = readDay(db, options.day ?? null, options.farm);
      if (book !== null && options.format === 'table') {
        evening = eveningOf(db, book, known(options));
        massChecks = readChecks(db, book.day, MOST_CHECKS).reverse();
      }
    } finally {
      db.close();
    }
  } catch (error) {
    if (error instanceof NoBook) return say(error.message, 2);
    throw error;
  }
  if (book === null) return say(noCrossings(options), 1);
  const farms = [...new Set(book.sessions.map(({ farm }) => farm ?? 'no farm named'))];
  if (farms.length > 1) {
    return say(`${book.day}: sessions of ${farms.join(', ')}. One at a time: --farm NAME.`, 2);
  }
  process.stdout.write(
    evening === null ? printed(book, options) : bookTable(book, evening, massChecks),
  );
  return 0;
}

function printed(book: DayBook, options: BookOptions): string {
  if (options.format === 'icar') return `${JSON.stringify(bookIcar(book, Date.now()), null, 2)}\n`;
  return bookCsv(book, { ...options, bom: options.bom ?? false });
}

function known({ killingOut, target }: BookOptions): {
  killingOut: number | null;
  targetKg: number | null;
} {
  return { killingOut: killingOut ?? null, targetKg: target ?? null };
}

function between(least: number, most: number): (text: string) => number {
  return (text) => {
    const value = Number(text);
    if (text !== '' && value >= least && value <= most) return value;
    throw new InvalidArgumentError(`Give a number from ${least} to ${most}.`);
  };
}

function wrongUse({ day, separator, decimal }: BookOptions): string | null {
  if (day !== undefined && !isDay(day)) return `--day ${day}: not a day; write it like 2026-09-12.`;
  if (separator.length !== 1) return `--separator ${separator}: one character, e.g. ';'.`;
  if (separator === decimal)
    return `--separator and --decimal are both '${decimal}': take ';' to separate.`;
  return null;
}

function isDay(text: string): boolean {
  const ms = /^\d{4}-\d{2}-\d{2}$/.test(text) ? Date.parse(text) : NaN;
  return !Number.isNaN(ms) && new Date(ms).toISOString().startsWith(text);
}

function noCrossings({ site, day, farm }: BookOptions): string {
  const when = day === undefined ? '' : ` on ${day}`;
  const whose = farm === undefined ? '' : ` of ${farm}`;
  return `No crossings${whose}${when} in the day book of ${site}.`;
}

function say(words: string, exitCode: number): number {
  process.stderr.write(`${words}\n`);
  return exitCode;
}
