/** What the page's thread reads of the site's files: plans, lists, the treatment record. */
import { existsSync, readdirSync } from 'node:fs';
import { join } from 'node:path';
import { changeYaml } from '../../../config/edit.ts';
import type { ConfigError, Loaded } from '../../../config/errors.ts';
import { readText } from '../../../config/files.ts';
import { readTagFile, readTreatmentFile } from '../../../config/facts.ts';
import type { RecordedTreatment } from '../../../config/lists.ts';
import { loadPlan, planVersion } from '../../../config/plan.ts';
import { siteSchema, type Site } from '../../../config/site.ts';
import type { PlanInUse, SiteChange } from '../../../config/site-change.ts';
import { loadYaml } from '../../../config/yaml.ts';
import { dayNumber } from '../../../core/sortplan/days.ts';
import type { Plan } from '../../../core/sortplan/plan.ts';

export type Files = SiteChange['files'];

const PLAN_FILE = /^[A-Za-z0-9][A-Za-z0-9._-]{0,59}\.yaml$/;

export interface SiteOnDisk {
  dir: string;
  /** Names of the plan files, without `.yaml`. */
  plans: string[];
  site: Site;
}

/** The settings; whatever is wrong with them is told, and nothing is done meanwhile. */
export function readSite(dir: string): Loaded<SiteOnDisk> {
  const file = join(dir, 'site.yaml');
  const text = readText(file);
  const read = text.ok ? loadYaml(text.value, file, siteSchema) : text;
  if (!read.ok) return read;
  const plans = namesIn(join(dir, 'plans'), PLAN_FILE).map((name) => name.slice(0, -5));
  return { ok: true, value: { dir, plans, site: read.value } };
}

/** Tag lists that stand beside the plans. */
export function listNames(dir: string): string[] {
  return namesIn(join(dir, 'plans'), /\.csv$/);
}

function namesIn(dir: string, kind: RegExp): string[] {
  if (!existsSync(dir)) return [];
  return readdirSync(dir)
    .filter((name) => kind.test(name))
    .sort();
}

/** A file as it is on the card, or as it is about to be written. */
function textOf(dir: string, path: string, files: Files): Loaded<string> {
  const changed = files.find((one) => one.path === path);
  return changed === undefined ? readText(join(dir, path)) : { ok: true, value: changed.text };
}

export function readPlan(
  { dir }: SiteOnDisk,
  name: string,
  exits: readonly string[],
  files: Files = [],
): Loaded<Plan> & { text?: string } {
  const path = `plans/${name}.yaml`;
  const text = textOf(dir, path, files);
  if (!text.ok) return text;
  return { ...loadPlan(text.value, path, exits), text: text.value };
}

export function readRecord(dir: string, files: Files = []): Loaded<RecordedTreatment[]> {
  const path = 'treatments.csv';
  if (!files.some((one) => one.path === path) && !existsSync(join(dir, path)))
    return { ok: true, value: [] };
  const text = textOf(dir, path, files);
  return text.ok ? readTreatmentFile(text.value, path, null) : text;
}

/** Everything that the service needs of a plan, with files as they are about to be written. */
export function planInUse(
  site: SiteOnDisk,
  name: string,
  exits: readonly string[],
  files: Files,
): Loaded<PlanInUse> {
  const errors: ConfigError[] = [];
  const plan = readPlan(site, name, exits, files);
  const treatments = readRecord(site.dir, files);
  for (const read of [plan, treatments]) if (!read.ok) errors.push(...read.errors);
  const lists = (plan.ok ? (plan.value.tags?.lists ?? []) : []).map(({ file }) => {
    const path = `plans/${file}`;
    const text = textOf(site.dir, path, files);
    const read = text.ok ? readTagFile(text.value, path) : text;
    if (!read.ok) errors.push(...read.errors);
    return { file, tags: read.ok ? read.value : [] };
  });
  if (errors.length > 0 || !plan.ok || !treatments.ok) return { ok: false, errors };
  const version = planVersion(plan.value);
  return { ok: true, value: { plan: plan.value, version, lists, treatments: treatments.value } };
}

/** `site.yaml` with another plan named as the one in use. */
export function siteText({ dir }: SiteOnDisk, plan: string): Loaded<string> {
  const file = join(dir, 'site.yaml');
  const text = readText(file);
  if (!text.ok) return text;
  return changeYaml(text.value, file, siteSchema, [{ path: ['plan'], value: plan }]);
}

/** Today in the site's zone, as text and as a number. */
export function todayIn(zone: string, wallMs: number): { text: string; day: number | null } {
  const text = new Intl.DateTimeFormat('sv-SE', { timeZone: zone }).format(wallMs);
  return { text, day: dayNumber(text) };
}
