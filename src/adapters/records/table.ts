import type { Evening, LotLine } from '../evening.ts';
import { checkWords, type CheckLine } from './check-weights.ts';
import type { BookRow, DayBook } from './day-book.ts';
import { eveningWords, givenWords, headWords } from './words.ts';

/** The day for reading on a terminal: every animal, head and weights per lot, and what it comes to. */
export function bookTable(
  book: DayBook,
  evening: Evening,
  checks: readonly CheckLine[] = [],
): string {
  const animals = [ANIMAL_HEAD, ...book.rows.map(animalCells)];
  const lots = [LOT_HEAD, ...evening.lots.map(lotCells)];
  return [
    `${book.day} (${book.zone}) - not for trade use`,
    ...book.sessions.map((s) =>
      [`session ${s.id}`, s.planName, s.farm, s.mob, s.field]
        .filter((word) => word !== null)
        .join(', '),
    ),
    '',
    ...aligned(animals),
    '',
    ...aligned(lots),
    ...evening.lots.flatMap(classWords),
    ...evening.lots.flatMap(wrongWayWords),
    '',
    ...headWords(evening),
    ...givenWords(evening),
    '',
    ...eveningWords(evening),
    ...checks.map((one) => `check weight ${one.time}: ${checkWords(one)}`),
    '',
  ].join('\n');
}

const ANIMAL_HEAD = ['time', 'animal', 'tag', 'kg', '+-', 'lot', 'exit', 'by', 'notes'];
const LOT_HEAD = [
  'lot',
  'head',
  'tagged',
  'mean kg',
  'SD',
  'least',
  'most',
  'total kg',
  'carcass',
  'carcasses',
];

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

function lotCells({ lot, head, tagsRead, weights, carcass }: LotLine): string[] {
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
    ...(carcass === null ? [] : [of(carcass.meanKg), of(carcass.totalKg)]),
  ];
}

function wrongWayWords({ lot, wrongWay }: LotLine): string[] {
  return wrongWay === 0 ? [] : [`${lot ?? 'no lot'}: ${wrongWay} of them in another pen`];
}

/** Head in each whole kilogram. */
function classWords({ lot, classes }: LotLine): string[] {
  if (classes.length === 0) return [];
  const each = classes.map(({ fromKg, head }) => `${fromKg} kg: ${head}`);
  return [`${lot ?? 'no lot'}, head from ${each.join(', ')}`];
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
