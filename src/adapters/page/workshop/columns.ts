/** Weights over time in so many columns, however long the time turns out to be. Pure. */

/** Lowest and highest weight in each stretch of time that has one. */
export interface Columns {
  /** Width of a column, ms. */
  widthMs: number;
  /** Middle of each column, ms; rising. Null weights stand where no reading came for a while. */
  t: number[];
  low: (number | null)[];
  high: (number | null)[];
}

const MOST = 900;
const FIRST_MS = 20;
/** No reading for this long is a gap. */
const GAP_MS = 1000;

interface Column {
  at: number;
  low: number | null;
  high: number | null;
}

export function createColumns(): { add(t: number, kg: number | null): void; read(): Columns } {
  let widthMs = FIRST_MS;
  let columns: Column[] = [];
  const halve = (): void => {
    widthMs *= 2;
    const wider: Column[] = [];
    for (const column of columns) put(wider, { ...column, at: Math.floor(column.at / 2) });
    columns = wider;
  };
  return {
    add(t, kg) {
      put(columns, { at: Math.floor(t / widthMs), low: kg, high: kg });
      while (columns.length > MOST) halve();
    },
    read() {
      const gap = Math.max(GAP_MS, 2 * widthMs) / widthMs;
      const found: Columns = { widthMs, t: [], low: [], high: [] };
      let before: number | null = null;
      for (const { at, low, high } of columns) {
        if (before !== null && at - before > gap) {
          found.t.push((before + 1) * widthMs);
          found.low.push(null);
          found.high.push(null);
        }
        found.t.push((at + 0.5) * widthMs);
        found.low.push(low);
        found.high.push(high);
        before = at;
      }
      return found;
    },
  };
}

/** Takes a column in; one of the same place as the last is joined to it. */
function put(columns: Column[], column: Column): void {
  const last = columns.at(-1);
  if (last === undefined || last.at !== column.at) {
    columns.push(column);
    return;
  }
  if (column.low === null || column.high === null) return;
  last.low = last.low === null ? column.low : Math.min(last.low, column.low);
  last.high = last.high === null ? column.high : Math.max(last.high, column.high);
}
