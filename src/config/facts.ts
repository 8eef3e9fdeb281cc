import { existsSync } from 'node:fs';
import { join } from 'node:path';
import type { Plan } from '../core/sortplan/plan.ts';
import type { Treatment } from '../core/sortplan/withdrawal.ts';
import type { ConfigError, Loaded } from './errors.ts';
import { readText } from './files.ts';
import { readTags, readTreatments } from './lists.ts';

/** What a site's files know of tags: the plan's lists and the treatment record. */
export interface SiteFacts {
  /** File name of the first of the plan's lists that the tag stands in, or null. */
  listOf: (tag: string) => string | null;
  treatments: Treatment[];
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
): Loaded<SiteFacts & { tags: Set<string>; lists: { file: string; tags: string[] }[] }> {
  const errors: ConfigError[] = [];
  const lists = (plan.tags?.lists ?? []).map(({ file }) => {
    const path = join(siteDir, 'plans', file);
    const text = readText(path);
    const read = text.ok ? readTags(text.value, path) : text;
    if (!read.ok) errors.push(...read.errors);
    return { file, tags: read.ok ? read.value.rows : [] };
  });
  const path = join(siteDir, 'treatments.csv');
  let treatments: Treatment[] = [];
  if (existsSync(path)) {
    const text = readText(path);
    const read = text.ok ? readTreatments(text.value, path, today) : text;
    if (read.ok) treatments = read.value.rows;
    else errors.push(...read.errors);
  }
  if (errors.length > 0) return { ok: false, errors };
  const tags = new Set([
    ...lists.flatMap((list) => list.tags),
    ...treatments.flatMap((one) => one.tags),
  ]);
  return { ok: true, value: { ...factsFrom(lists, treatments), lists, tags } };
}

/** The same from lists and treatments that were read already. */
export function factsFrom(
  lists: readonly { file: string; tags: Iterable<string> }[],
  treatments: Treatment[],
): SiteFacts {
  const sets = lists.map(({ file, tags }) => ({ file, tags: new Set(tags) }));
  return {
    listOf: (tag) => sets.find((list) => list.tags.has(tag))?.file ?? null,
    treatments,
  };
}
