import { stringify } from 'csv-stringify/sync';
import { dayText } from '../core/sortplan/days.ts';
import type { RecordedTreatment } from './lists.ts';

const COLUMNS = ['product', 'given', 'days', 'batch', 'use', 'tag', 'mob', 'colour'];
const CORRECTED = [...COLUMNS, 'corrected', 'by', 'why'];

/** The treatment record as a file; reading it gives the same treatments, one tag a row. */
export function treatmentsText(treatments: readonly RecordedTreatment[]): string {
  const rows = treatments.flatMap((one) => rowsOf(one).map((row) => [...row, one.farm ?? '']));
  return stringify([[...COLUMNS, 'farm'], ...rows]);
}

/** Rows that were corrected or taken out, with when, by whom and why: kept beside the record. */
export function correctedText(
  before: string,
  treatments: readonly RecordedTreatment[],
  said: { day: string; who: string; why: string },
): string {
  const rows = treatments.flatMap((one) =>
    rowsOf(one).map((row) => [...row, said.day, said.who, said.why, one.farm ?? '']),
  );
  const head = stringify([[...CORRECTED, 'farm']]);
  // One that was begun before farms stood in it.
  const old = stringify([CORRECTED]);
  const above = before.startsWith(old) ? head + before.slice(old.length) : before || head;
  return above + stringify(rows);
}

function rowsOf(one: RecordedTreatment): string[][] {
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
