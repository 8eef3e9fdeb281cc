import { stringify } from 'csv-stringify/sync';
import { dayText } from '../core/sortplan/days.ts';
import type { Treatment } from '../core/sortplan/withdrawal.ts';

const COLUMNS = ['product', 'given', 'days', 'batch', 'use', 'tag', 'mob', 'colour'];

/** The treatment record as a file; reading it gives the same treatments, one tag a row. */
export function treatmentsText(treatments: readonly Treatment[]): string {
  return stringify([COLUMNS, ...treatments.flatMap(rowsOf)]);
}

/** Rows that were corrected or taken out, with when, by whom and why: kept beside the record. */
export function correctedText(
  before: string,
  treatments: readonly Treatment[],
  said: { day: string; who: string; why: string },
): string {
  const rows = treatments.flatMap((one) =>
    rowsOf(one).map((row) => [...row, said.day, said.who, said.why]),
  );
  const head = before === '' ? [[...COLUMNS, 'corrected', 'by', 'why']] : [];
  return before + stringify([...head, ...rows]);
}

function rowsOf(one: Treatment): string[][] {
  const { product, batch, givenDay, days, use, mob, colour } = one;
  const tags = one.tags.length === 0 ? [''] : one.tags;
  return tags.map((tag) => [
    product,
    dayText(givenDay),
    days === null ? 'unclear' : String(days),
    batch,
    use,
    tag,
    mob ?? '',
    colour ?? '',
  ]);
}
