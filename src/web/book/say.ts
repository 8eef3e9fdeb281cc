/** Dates and figures of the day book as people read them. */
import type { Line } from '../../adapters/evening.ts';
import { bookWords as words } from '../words/book.ts';

/** `12 Sep 2026` of `2026-09-12`. */
export function dateText(day: string): string {
  const [year, month, date] = parts(day);
  return words.date(date, words.months[month - 1] ?? '', year);
}

/** `12 Sep` of UTC seconds, for the axis of a chart. */
export function axisDate(seconds: number): string {
  const [, month, date] = parts(new Date(seconds * 1000).toISOString());
  return words.shortDate(date, words.months[month - 1] ?? '');
}

function parts(day: string): [number, number, number] {
  const [year, month, date] = day.slice(0, 10).split('-').map(Number);
  return [year ?? 0, month ?? 1, date ?? 1];
}

/** `09:15` on the wall of the site, of UTC ms. */
export function clockText(atMs: number, timeZone: string): string {
  const format = { timeZone, hour: '2-digit', minute: '2-digit', hourCycle: 'h23' } as const;
  return new Intl.DateTimeFormat('en-GB', format).format(atMs);
}

export function kgs(kg: number | null): string {
  return kg === null ? '–' : kg.toFixed(1);
}

export function grams(value: number): string {
  return String(Math.round(value));
}

/** The last five digits large, as on the tag's visible part; or that there was none. */
export function lastFive(line: Pick<Line, 'tag' | 'animal'>): string {
  return line.tag === null ? words.look.noTag(line.animal) : line.tag.slice(-5);
}
