import type { BookRow } from './day-book.ts';
import type { Correction } from './messages.ts';

/** A correction as it stands in the database. */
export interface RawCorrection {
  crossing: number;
  kind: Correction['kind'];
  value: string;
  who: string | null;
  why: string | null;
}

/** What people said of each crossing, put beside it and counted. */
export function applyCorrections(byId: Map<number, BookRow>, corrections: RawCorrection[]): void {
  for (const { crossing, kind, value, who, why } of corrections) {
    const parsed = JSON.parse(value) as Correction['value'];
    const row = byId.get(crossing);
    row?.corrections.push({ kind, value: parsed, was: written(row, kind), who, why });
  }
  for (const row of byId.values()) {
    if (row.corrections.length === 0) continue;
    for (const kind of ['exit', 'lot', 'pen', 'tag', 'void', 'dose'] as const) correct(row, kind);
  }
}

/** What a row says before anything is put right. */
function written(row: BookRow, kind: Correction['kind']): Correction['value'] {
  if (kind === 'again') return null;
  if (kind === 'void') return row.notCounted !== null;
  return kind === 'dose' ? (row.given?.ml ?? null) : row[kind];
}

/** The last word of a kind counts; null takes the earlier ones back. */
function correct(row: BookRow, kind: Correction['kind']): void {
  const last = row.corrections.findLast((correction) => correction.kind === kind);
  if (last === undefined || last.value === null) return;
  const { value, why } = last;
  if (kind === 'void') row.notCounted = value === true ? (why ?? 'taken back') : null;
  else if (kind === 'dose') row.given = doseSaid(row.given, value);
  else if (kind === 'tag' && value === false) row.tag = null;
  else if (kind !== 'again' && typeof value === 'string') row[kind] = value;
}

function doseSaid(given: BookRow['given'], value: Correction['value']): BookRow['given'] {
  if (given === null || value === false) return null;
  return typeof value === 'number' ? { ...given, ml: value } : given;
}

/** Why the earlier crossing of a tag does not count. */
export const SEEN_AGAIN = 'the same tag was seen again later';

/** A tag seen twice in a session is one animal: its last crossing counts. */
export function leaveOutSeenAgain(rows: BookRow[]): void {
  const seen = new Set<string>();
  for (const row of rows.toReversed()) {
    if (row.tag === null || row.notCounted !== null) continue;
    const key = `${row.tag} ${row.session}`;
    if (seen.has(key)) row.notCounted = SEEN_AGAIN;
    seen.add(key);
  }
}

/** For SQL: the crossing `c` does not count, by the last word of it. */
export const VOID = `coalesce((SELECT k.value FROM correction k
  WHERE k.crossing = c.id AND k.kind = 'void' ORDER BY k.n DESC LIMIT 1), '') = 'true'`;

/** For SQL: the tag of the crossing `c` by the last word of it; '' where there is none. */
export const RIGHT_TAG = `coalesce((SELECT CASE k.value WHEN 'null' THEN c.tag WHEN 'false' THEN ''
    ELSE json_extract(k.value, '$') END
  FROM correction k WHERE k.crossing = c.id AND k.kind = 'tag' ORDER BY k.n DESC LIMIT 1), c.tag, '')`;
