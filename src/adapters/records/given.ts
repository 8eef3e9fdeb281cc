import type { GivenLine } from '../evening.ts';
import type { BookRow, DayBook } from './day-book.ts';

/** What went into animals that day. One that counts no longer was given what it was given. */
export function givenLines({ rows }: Pick<DayBook, 'rows'>): GivenLine[] {
  const found = new Map<string, GivenLine>();
  for (const { given } of rows) {
    if (given === null || given.ml === 0) continue;
    const key = JSON.stringify([given.product, given.batch]);
    found.set(key, add(found.get(key), given));
  }
  return [...found.values()];
}

function add(
  before: GivenLine | undefined,
  { product, batch, ml }: NonNullable<BookRow['given']>,
): GivenLine {
  const one = before ?? { product, batch, head: 0, ml: 0, unknown: 0 };
  if (ml === null) return { ...one, unknown: one.unknown + 1 };
  // A dose is whole steps of a gun, at the finest 0.001 ml.
  return { ...one, head: one.head + 1, ml: Math.round(1000 * (one.ml + ml)) / 1000 };
}
