import { counted, lotSummaries, penCounts, type LotSummary } from './lots.ts';
import type { BookRow, DayBook } from './day-book.ts';

/** The day for reading on a terminal: every animal, then head and weights per lot. */
export function bookTable(book: DayBook): string {
  const animals = [ANIMAL_HEAD, ...book.rows.map(animalCells)];
  const lots = [LOT_HEAD, ...lotSummaries(book).map(lotCells)];
  const pens = penCounts(book).map(({ pen, head }) => `${pen ?? 'not known where'} ${head}`);
  return [
    `${book.day} (${book.zone})`,
    ...book.sessions.map((s) =>
      [`session ${s.id}`, s.planName, s.farm, s.mob, s.field]
        .filter((word) => word !== null)
        .join(', '),
    ),
    '',
    ...aligned(animals),
    '',
    ...aligned(lots),
    '',
    `head per pen: ${pens.join(', ')}; head in all: ${counted(book).length}`,
    '',
  ].join('\n');
}

const ANIMAL_HEAD = ['time', 'animal', 'tag', 'kg', '+-', 'lot', 'exit', 'by', 'notes'];
const LOT_HEAD = ['lot', 'head', 'tagged', 'mean kg', 'SD', 'least', 'most', 'total kg'];

function animalCells(row: BookRow): string[] {
  return [
    row.localTime.slice(11),
    String(row.animal),
    row.tag ?? '-',
    kg(row.recordedKg),
    kg(row.uncertaintyKg),
    row.lot ?? '-',
    row.exit ?? '-',
    row.rule ?? '-',
    notes(row).join(', '),
  ];
}

function notes(row: BookRow): string[] {
  return [
    ...(row.unsure ? ['not sure'] : []),
    ...(row.clock === 'unset' ? ['clock not set'] : []),
    ...row.flags,
    ...row.marks.map(({ name, value }) => `${name}: ${String(value)}`),
    ...(row.notCounted === null ? [] : [`not counted: ${row.notCounted}`]),
  ];
}

function lotCells({ lot, head, tagsRead, weights }: LotSummary): string[] {
  const of = (value: number | null | undefined): string => kg(value ?? null);
  return [
    lot ?? 'no lot',
    String(head),
    String(tagsRead),
    of(weights?.mean),
    of(weights?.sd),
    of(weights?.least),
    of(weights?.most),
    of(weights?.total),
  ];
}

function kg(value: number | null): string {
  return value === null ? '-' : value.toFixed(2);
}

/** Cells padded to columns; numbers to the right. */
function aligned(lines: string[][]): string[] {
  const widths = (lines[0] ?? []).map((_, i) =>
    Math.max(...lines.map((line) => (line[i] ?? '').length)),
  );
  return lines.map((line) =>
    line
      .map((text, i) => {
        const width = widths[i] ?? 0;
        return /^[\d.]+$|^-$/.test(text) ? text.padStart(width) : text.padEnd(width);
      })
      .join('  ')
      .trimEnd(),
  );
}
