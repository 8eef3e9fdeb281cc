import type { BookRow, DayBook } from './day-book.ts';
import type { PlanFacts } from './plan-facts.ts';
import { histogram, summarise, type WeightClass, type WeightSummary } from './statistics.ts';

/** One lot of a day. */
export interface LotSummary {
  /** Null: animals that no lot was decided for. */
  lot: string | null;
  /** Animals that count. */
  head: number;
  tagsRead: number;
  notRead: number;
  unsure: number;
  /** Head that stand in another pen than this lot's. */
  wrongWay: number;
  /** Weights that are sure and of this mob; null where there are none. */
  weights: WeightSummary | null;
  classes: WeightClass[];
}

/** Animals that count; the others stay in the book with the reason why not. */
export function counted(book: Pick<DayBook, 'rows'>): BookRow[] {
  return book.rows.filter((row) => row.notCounted === null);
}

/** Of the plan that decided it; where none was kept, of the one that its session was begun with. */
export function factsOf(book: DayBook, row: BookRow): PlanFacts | null {
  return row.plan ?? book.sessions.find(({ id }) => id === row.session) ?? null;
}

/** Weight of a row where it may go into an average: sure, and within the plan's range of the mob. */
export function averageable(book: DayBook, row: BookRow): number | null {
  if (row.recordedKg === null || row.unsure) return null;
  const range = factsOf(book, row)?.mobRange ?? null;
  if (range !== null && (row.recordedKg < range.fromKg || row.recordedKg > range.toKg)) return null;
  return row.recordedKg;
}

/** Tags that count more than once, since each session counts its own animals. */
export function seenTwice(rows: readonly BookRow[]): number {
  const [once, twice] = [new Set<string>(), new Set<string>()];
  for (const { tag } of rows) {
    if (tag !== null) (once.has(tag) ? twice : once).add(tag);
  }
  return twice.size;
}

/** The gate stood elsewhere than its lot's exit, and nobody has said since where it is. */
export function wentWrongWay({ flags, corrections }: BookRow): boolean {
  if (!flags.includes('wrong-way')) return false;
  return !(['exit', 'lot', 'pen'] as const).some(
    (kind) => (corrections.findLast((one) => one.kind === kind)?.value ?? null) !== null,
  );
}

/** Head and weights per lot, in order of mean weight, those without weights last. */
export function lotSummaries(book: DayBook): LotSummary[] {
  return groups(counted(book), (row) => row.lot)
    .map(([lot, rows]) => summary(book, lot, rows))
    .sort((a, b) => (a.weights?.mean ?? Infinity) - (b.weights?.mean ?? Infinity));
}

/** Head per pen; null where nobody knows where the animal went. */
export function penCounts(book: DayBook): { pen: string | null; head: number }[] {
  return groups(counted(book), (row) => row.pen).map(([pen, rows]) => ({ pen, head: rows.length }));
}

/**
 * Estimated carcass weight, kg.
 *
 * @param killingOutPercent the farmer's figure: 44 to 46 off grass, 46 to 49 on ad-lib concentrates
 *   (Irish farming press).
 */
export function carcassKg(liveKg: number, killingOutPercent: number): number {
  return (liveKg * killingOutPercent) / 100;
}

function summary(book: DayBook, lot: string | null, rows: BookRow[]): LotSummary {
  const weights = rows.map((row) => averageable(book, row)).filter((kg) => kg !== null);
  const tagsRead = rows.filter((row) => row.tag !== null).length;
  return {
    lot,
    head: rows.length,
    tagsRead,
    notRead: rows.length - tagsRead,
    unsure: rows.filter((row) => row.unsure).length,
    wrongWay: rows.filter(wentWrongWay).length,
    weights: summarise(weights),
    classes: histogram(weights),
  };
}

/** Rows by what they have in common, in the order in which it comes first. */
export function groups<K>(rows: BookRow[], key: (row: BookRow) => K): [K, BookRow[]][] {
  const map = new Map<K, BookRow[]>();
  for (const row of rows) {
    const list = map.get(key(row));
    if (list === undefined) map.set(key(row), [row]);
    else list.push(row);
  }
  return [...map];
}
