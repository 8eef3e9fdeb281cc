import type { SheetAsk, Unanswered } from '../evening.ts';
import type { BookRow, DayBook } from './day-book.ts';
import { freeOn, isHeld } from './first-screen.ts';
import { averageable, carcassKg, counted, groups, seenTwice, wentWrongWay } from './lots.ts';
import { SHEET_STYLE } from './sheet-style.ts';
import { summarise, type WeightSummary } from './statistics.ts';
import { twiceWords } from './words.ts';

/**
 * One page of A4 to hand to the haulier, and behind it the list of tags: one lot (or one pen) of one
 * farm on one day. Read, not read and untagged make up the head; the loading count stands against it.
 */
export function lotSheet(book: DayBook, ask: SheetAsk): string | Unanswered {
  const rows = counted(book).filter(
    ({ lot, pen }) =>
      (ask.lot === null || lot === ask.lot) && (ask.pen === null || pen === ask.pen),
  );
  const wrong = wrongAsk(rows, ask);
  return wrong === null ? page(book, rows, ask) : { refused: wrong };
}

function wrongAsk(rows: BookRow[], ask: SheetAsk): string | null {
  if (rows.length === 0) return 'No animal that counts is in this lot or pen on that day.';
  const without = rows.filter(({ tag }) => tag === null).length;
  if (ask.untagged !== null && ask.untagged > without) {
    return `${ask.untagged} without a tag, but only ${without} were not read: count again.`;
  }
  return null;
}

function page(book: DayBook, rows: BookRow[], ask: SheetAsk): string {
  const title = `Lot sheet: ${ask.lot ?? ask.pen ?? 'the whole day'}, ${longDay(book.day)}`;
  return [
    '<!doctype html>',
    `<html lang="en-GB"><head><meta charset="utf-8" /><title>${html(title)}</title>`,
    '<meta name="viewport" content="width=device-width, initial-scale=1" />',
    `<style>${SHEET_STYLE}</style></head><body><main>`,
    '<p class="trade">Not for trade use</p>',
    `<h1>${html(title)}</h1>`,
    table('From and to', whereLines(book, rows, ask)),
    table('Head', headLines(rows, ask)),
    table('Weight', weightLines(book, rows, ask.killingOut)),
    withdrawal(rows),
    loading(rows, ask.loaded),
    signatures(),
    behind(title, rows),
    '</main></body></html>\n',
  ].join('\n');
}

function whereLines(book: DayBook, rows: BookRow[], ask: SheetAsk): [string, string][] {
  const ids = new Set(rows.map(({ session }) => session));
  const sessions = book.sessions.filter(({ id }) => ids.has(id));
  const all = (of: (session: DayBook['sessions'][number]) => string | number | null): string =>
    [...new Set(sessions.map(of))].filter((one) => one !== null).join(', ');
  const hours = all(({ hoursOffFeed }) => (hoursOffFeed === null ? null : `${hoursOffFeed} h`));
  return [
    ['Farm', all(({ farm }) => farm)],
    ['From holding', all(({ holding }) => holding)],
    ['Flock mark', all(({ flockMark }) => flockMark)],
    ['To', ask.to ?? ''],
    ['Date', longDay(book.day)],
    ['Mob, field', [all(({ mob }) => mob), all(({ field }) => field)].filter(Boolean).join(', ')],
    ['Hours off feed, fleece', [hours, all(({ fleece }) => fleece)].filter(Boolean).join(', ')],
    ['Weighed by', all(({ who }) => who)],
  ];
}

function headLines(rows: BookRow[], { untagged }: SheetAsk): [string, string][] {
  const read = rows.filter(({ tag }) => tag !== null).length;
  const without = rows.length - read;
  const twice = seenTwice(rows);
  return [
    ['EID tags read', String(read)],
    ['Not read', String(without - (untagged ?? 0))],
    ['Untagged, counted by eye', untagged === null ? '0 (nobody said)' : String(untagged)],
    ['Head, the three together', String(rows.length)],
    ...(twice === 0 ? [] : ([['Of these', twiceWords(twice)]] as [string, string][])),
    ...wrongWayLines(rows),
  ];
}

/** Where the gate let them to, which is not where their lot stands. */
function wrongWayLines(rows: BookRow[]): [string, string][] {
  const wrong = rows.filter(wentWrongWay);
  if (wrong.length === 0) return [];
  const went = groups(wrong, ({ lot, pen }) => `${lot ?? 'no lot'}, but in ${pen ?? 'no pen'}`);
  const each = went.map(([where, { length }]) => `${length} of ${where}`);
  return [['Went the wrong way', each.join('; ')]];
}

function weightLines(
  book: DayBook,
  rows: BookRow[],
  killingOut: number | null,
): [string, string][] {
  const weights = rows.map((row) => averageable(book, row)).filter((kg) => kg !== null);
  const sum = summarise(weights);
  if (sum === null) return [['Weighed', 'none']];
  const left = rows.length - sum.count;
  return [
    ['Average', kg(sum.mean)],
    ['Lightest to heaviest', `${kg(sum.least)} to ${kg(sum.most)}`],
    ['Standard deviation', sum.sd === null ? '' : kg(sum.sd)],
    ['Total live weight', `${kg(sum.total)} of ${sum.count} head${notWeighed(left)}`],
    ...carcassLines(sum, killingOut),
  ];
}

function notWeighed(head: number): string {
  return head === 0 ? '' : `; ${head} not weighed for sure and not in it`;
}

function carcassLines(sum: WeightSummary, killingOut: number | null): [string, string][] {
  if (killingOut === null) return [['Estimated carcass', 'no killing-out per cent was given']];
  const [mean, total] = [carcassKg(sum.mean, killingOut), carcassKg(sum.total, killingOut)];
  const how = `at the farmer's killing-out of ${killingOut} %`;
  return [['Estimated carcass', `${kg(mean)} each, ${kg(total)} in all, ${how}`]];
}

/** Animals that are held for one reason until one day. */
interface Held {
  what: string;
  rows: BookRow[];
}

function heldOf(rows: BookRow[]): Held[] {
  return groups(rows.filter(isHeld), whyHeld).map(([what, held]) => ({ what, rows: held }));
}

function whyHeld(row: BookRow): string {
  const what = row.given === null ? '' : `${row.given.product}, batch ${row.given.batch}: `;
  const day = freeOn(row);
  return `${what}${day === null ? 'first free day not known' : `free on ${longDay(day)}`}`;
}

/** More than these are named behind the page that goes along with the haulier, not on it. */
const MOST_NAMED = 30;
const MOST_REASONS = 3;

/** What Fank knows; it never says that an animal is free. */
function withdrawal(rows: BookRow[]): string {
  const held = heldOf(rows);
  const head = held.reduce((sum, one) => sum + one.rows.length, 0);
  const named = head <= MOST_NAMED && held.length <= MOST_REASONS;
  const each = held.slice(0, MOST_REASONS).map((one) => {
    const list = named ? fives(one.rows) : '';
    return `<p><b>${one.rows.length} head</b> ${html(one.what)}</p>${list}`;
  });
  const others = held.slice(MOST_REASONS).reduce((sum, one) => sum + one.rows.length, 0);
  const more = others === 0 ? '' : `And ${others} more. `;
  const left = named ? '' : `<p>${more}Each with its own day stands on the list behind.</p>`;
  const said =
    head === 0
      ? '<p>Fank&rsquo;s records held none of these animals back, as known when they were sorted. They know only what was put into them.</p>'
      : `<p><b>${head} of these ${rows.length} are, or may be, in withdrawal</b>, as known when they were sorted:</p>${each.join('')}${left}`;
  return `<h2>Withdrawal periods</h2>${said}<p>Label, vet and local law decide. The keeper declares.</p>`;
}

/** The last five digits of each; the whole tags stand on the list behind. */
function fives(rows: BookRow[]): string {
  const items = rows.map(({ tag, animal }) => tag?.slice(-5) ?? `no tag, animal ${animal}`);
  return `<ul class="fives">${items.map((item) => `<li>${html(item)}</li>`).join('')}</ul>`;
}

function loading(rows: BookRow[], loaded: number | null): string {
  const lines: [string, string][] = [
    ['Head on this sheet', String(rows.length)],
    ['Counted out at loading', loaded === null ? '' : String(loaded)],
    ['Difference', loaded === null ? '' : difference(loaded - rows.length)],
  ];
  return table('Counting out at loading', lines);
}

function difference(head: number): string {
  if (head === 0) return '0: they agree';
  return head > 0 ? `${head} more than on this sheet` : `${-head} fewer than on this sheet`;
}

/** What goes behind the sheet: whom each line of it means. */
function behind(title: string, rows: BookRow[]): string {
  const held = heldOf(rows);
  const read = rows.filter(({ tag }) => tag !== null);
  if (held.length + read.length === 0) return '';
  return [
    `<section class="behind"><p class="title">${html(title)}: the list</p>`,
    ...(held.length === 0
      ? []
      : [
          `<h2>Are, or may be, in withdrawal: ${rows.filter(isHeld).length} of ${rows.length}</h2>`,
        ]),
    ...held.map((one) => `<h3>${one.rows.length} head, ${html(one.what)}</h3>${columns(one.rows)}`),
    `<h2>Tags read: ${read.length} of ${rows.length}</h2>${columns(read)}</section>`,
  ].join('\n');
}

function columns(rows: BookRow[]): string {
  const items = rows.map(({ tag, animal, recordedKg, unsure }) => {
    const weight =
      recordedKg === null ? 'not weighed' : `${kg(recordedKg)}${unsure ? ', not sure' : ''}`;
    return `<li><b>${html(tag ?? `no tag, animal ${animal}`)}</b> ${html(weight)}</li>`;
  });
  return `<ol class="tags">${items.join('')}</ol>`;
}

function signatures(): string {
  return [
    '<div class="sign"><p>Keeper</p><p>Haulier</p><p>Date and time</p></div>',
    '<p class="foot">Made by Fank from its day book. Weights are for management and not for trade; ',
    'the load bars of a race are not verified for trade.</p>',
  ].join('');
}

function table(title: string, lines: [string, string][]): string {
  const body = lines.map(
    ([what, value]) =>
      `<tr><th scope="row">${html(what)}</th><td>${value === '' ? '<span class="blank"></span>' : html(value)}</td></tr>`,
  );
  return `<h2>${html(title)}</h2><table><tbody>${body.join('')}</tbody></table>`;
}

const MONTHS = [
  ...['January', 'February', 'March', 'April', 'May', 'June', 'July', 'August', 'September'],
  ...['October', 'November', 'December'],
];

function longDay(day: string): string {
  const [year = '', month = '1', date = '1'] = day.split('-');
  return `${Number(date)} ${MONTHS[Number(month) - 1] ?? ''} ${year}`;
}

function kg(value: number): string {
  return `${value.toFixed(1)} kg`;
}

const ENTITIES: Record<string, string> = {
  '&': '&amp;',
  '<': '&lt;',
  '>': '&gt;',
  '"': '&quot;',
  "'": '&#39;',
};

function html(text: string): string {
  return text.replaceAll(/[&<>"']/g, (sign) => ENTITIES[sign] ?? sign);
}
