/** Lists of several farms in one site folder: each row may say whose it is. */
import { parse } from 'csv-parse/sync';
import { stringify } from 'csv-stringify/sync';

/** What belongs to a farm; null: nobody said whose it is. */
export interface OfFarm {
  farm: string | null;
}

/** Whether a row of a list is this farm's. One that names no farm is everybody's. */
export function isOf({ farm }: OfFarm, session: string | null): boolean {
  return farm === null || farm === session;
}

/**
 * Whether a treatment may hold animals of this farm that have no tag, or one that was not read. Where
 * nobody named a farm it may be this one.
 */
export function mayHoldHere({ farm }: OfFarm, session: string | null): boolean {
  return farm === null || session === null || farm === session;
}

/** Whether it may hold an animal whose tag was read: tags mean those animals, wherever they are by now. */
export function mayHoldTagged(
  one: OfFarm & { tags: readonly string[] },
  session: string | null,
): boolean {
  return one.tags.length > 0 || mayHoldHere(one, session);
}

/** A CSV file without the rows whose column `farm` names this one; null where it has none. */
export function withoutFarm(text: string, farm: string): string | null {
  const rows = parse(text, { bom: true, relax_column_count: true });
  const place = rows[0]?.indexOf('farm') ?? -1;
  const left = rows.filter((row, line) => line === 0 || place < 0 || row[place] !== farm);
  return left.length === rows.length ? null : stringify(left);
}
