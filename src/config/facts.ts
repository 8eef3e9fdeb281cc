import { existsSync } from 'node:fs';
import { join } from 'node:path';
import type { Plan } from '../core/sortplan/plan.ts';
import type { ConfigError, Loaded } from './errors.ts';
import { isOf } from './farms.ts';
import { readText } from './files.ts';
import { readTags, readTreatments, type ListedTag, type RecordedTreatment } from './lists.ts';

/** A list of tags beside the plans. */
export interface TagList {
  file: string;
  tags: ListedTag[];
}

/** What a site's files know of tags: the plan's lists and the treatment record. */
export interface SiteFacts {
  /** File name of the first of the plan's lists that the tag stands in for this farm, or null. */
  listOf: (tag: string, farm: string | null) => string | null;
  treatments: RecordedTreatment[];
}

/**
 * Reads the tag lists that a plan names, beside the plan in `plans/`, and `treatments.csv` of the site
 * folder where there is one. A list that is missing or broken refuses the plan: without it animals
 * would be sent the wrong way in silence. `tags`: every tag that is named anywhere.
 * @param today day number, for doses that lie in the future; null where the clock is not set
 */
export function loadFacts(
  siteDir: string,
  plan: Plan,
  today: number | null,
): Loaded<SiteFacts & { tags: Set<string>; lists: TagList[] }> {
  const errors: ConfigError[] = [];
  const lists = (plan.tags?.lists ?? []).map(({ file }) => {
    const path = join(siteDir, 'plans', file);
    const text = readText(path);
    const read = text.ok ? readTagFile(text.value, path) : text;
    if (!read.ok) errors.push(...read.errors);
    return { file, tags: read.ok ? read.value : [] };
  });
  const path = join(siteDir, 'treatments.csv');
  let treatments: RecordedTreatment[] = [];
  if (existsSync(path)) {
    const text = readText(path);
    const read = text.ok ? readTreatmentFile(text.value, path, today) : text;
    if (read.ok) treatments = read.value;
    else errors.push(...read.errors);
  }
  if (errors.length > 0) return { ok: false, errors };
  const tags = new Set([
    ...lists.flatMap((list) => list.tags.map(({ tag }) => tag)),
    ...treatments.flatMap((one) => one.tags),
  ]);
  return { ok: true, value: { ...factsFrom(lists, treatments), lists, tags } };
}

/** The same from lists and treatments that were read already. */
export function factsFrom(lists: readonly TagList[], treatments: RecordedTreatment[]): SiteFacts {
  const known = lists.map(({ file, tags }) => ({ file, rows: groupBy(tags) }));
  return {
    listOf: (tag, farm) =>
      known.find(({ rows }) => rows.get(tag)?.some((row) => isOf(row, farm)) === true)?.file ??
      null,
    treatments,
  };
}

/** The rows of each tag: one list may stand for several farms. */
function groupBy(tags: readonly ListedTag[]): Map<string, ListedTag[]> {
  const rows = new Map<string, ListedTag[]>();
  for (const row of tags) rows.set(row.tag, [...(rows.get(row.tag) ?? []), row]);
  return rows;
}

/** A list that is kept may be empty by now, with its header alone. */
export function readTagFile(text: string, path: string): Loaded<ListedTag[]> {
  return rowsIn(text, () => readTags(text, path));
}

/** The same of the treatment record. */
export function readTreatmentFile(
  text: string,
  path: string,
  today: number | null,
): Loaded<RecordedTreatment[]> {
  return rowsIn(text, () => readTreatments(text, path, today));
}

function rowsIn<T>(text: string, read: () => Loaded<{ rows: T[] }>): Loaded<T[]> {
  const isHeader = /^[a-z,]+$/.test(text.trim());
  if (isHeader) return { ok: true, value: [] };
  const found = read();
  return found.ok ? { ok: true, value: found.value.rows } : found;
}
