import { join, resolve } from 'node:path';
import { z } from 'zod';
import type { Plan } from '../core/sortplan/plan.ts';
import type { Config } from '../core/step.ts';
import type { BoardProfile } from './boards.ts';
import type { ConfigError, Loaded } from './errors.ts';
import { readText } from './files.ts';
import type { ReaderProfile, ScaleProfile } from './frames/schema.ts';
import { frozen, hashOf } from './hash.ts';
import { suggestion } from './nearest.ts';
import { loadPlan } from './plan.ts';
import {
  loadProfile,
  profileNames,
  yamlNames,
  type Profile,
  type ProfileKind,
} from './profiles.ts';
import { checkParts, partsWarnings, resolveConfig } from './resolve.ts';
import { checkSite, siteSchema, siteWarnings, type Site } from './site.ts';
import { makeSite } from './starting-site.ts';
import { loadYaml, sorted, type Source } from './yaml.ts';

/** A site with all that it names: frozen plain data. */
export interface ResolvedSite {
  /** The site folder, absolute. */
  dir: string;
  site: Site;
  /** What the core is given. */
  config: Config;
  scaleProfile: ScaleProfile;
  readerProfile: ReaderProfile | null;
  boardProfile: BoardProfile;
  /** Paths of ports; null where the site names none. */
  ports: { scale: string | null; reader: string | null; board: string | null };
  /** SHA-256 of all of the above but the folder, in hex. */
  hash: string;
}

export type SiteResult =
  | { ok: true; value: ResolvedSite; warnings: ConfigError[] }
  | {
      ok: false;
      /** Everything that is wrong, file by file. */
      errors: ConfigError[];
      warnings: ConfigError[];
      /** The site file, where that much could be read: the page can still be served. */
      site: Site | null;
      /** Where to serve the page: the site's, or the usual place. */
      page: Site['page'];
    };

export interface LoadOptions {
  /** Path of a plan file instead of the site's active plan. */
  plan?: string;
  /** Name of a board profile instead of the site's: `simulated` for the demo. */
  board?: string;
}

/**
 * Reads a site folder, making what is missing of it. Never throws for anything that a person wrote:
 * gives the site resolved, or everything that is wrong with it.
 */
export function loadSite(folder: string, options: LoadOptions = {}): SiteResult {
  const dir = resolve(folder);
  const file = join(dir, 'site.yaml');
  const made = make(dir);
  if (made !== null) return broken([made], null);
  const text = readText(file);
  if (!text.ok) return broken(text.errors, null);
  const read = loadYaml(text.value, file, siteSchema);
  if (!read.ok) {
    const errors = [...read.errors, ...namedErrors(dir, text.value, file, options)];
    return { ...broken(errors, null), page: pageOf(text.value, file) };
  }
  const site = withBoard(read.value, options.board);
  const errors = checkSite(site).map((finding) => read.source.at(finding));
  const warnings = siteWarnings(site).map((finding) => read.source.at(finding));
  const named = loadNamed(dir, site, read.source, options.plan);
  errors.push(...named.errors);
  if (errors.length > 0 || named.parts === null) return broken(errors, site, warnings);
  const parts = { site, ...named.parts };
  errors.push(...checkParts(parts).map((finding) => read.source.at(finding)));
  warnings.push(...partsWarnings(parts).map((finding) => read.source.at(finding)));
  if (errors.length > 0) return broken(sorted(errors), site, warnings);
  return { ok: true, value: resolved(dir, parts), warnings: sorted(warnings) };
}

/** A fault elsewhere in the site file does not move the page to another port. */
function pageOf(text: string, file: string): Site['page'] {
  const read = loadYaml(text, file, z.looseObject({ page: siteSchema.shape.page }));
  return read.ok ? read.value.page : siteSchema.shape.page.parse(undefined);
}

/** What is wrong with the files that a site names, although the site file has a fault elsewhere. */
function namedErrors(dir: string, text: string, file: string, options: LoadOptions): ConfigError[] {
  const { plan, profiles } = siteSchema.shape;
  const read = loadYaml(text, file, z.looseObject({ plan, profiles }));
  if (!read.ok) return [];
  return loadNamed(dir, withBoard(read.value, options.board), read.source, options.plan).errors;
}

function broken(
  errors: ConfigError[],
  site: Site | null,
  warnings: ConfigError[] = [],
): SiteResult & { ok: false } {
  const page = site?.page ?? siteSchema.shape.page.parse(undefined);
  return { ok: false, errors, warnings, site, page };
}

function make(dir: string): ConfigError | null {
  try {
    makeSite(dir);
    return null;
  } catch (error) {
    const code = (error as NodeJS.ErrnoException).code ?? 'error';
    return {
      file: dir,
      line: 1,
      column: 1,
      message: `the site folder cannot be made (${code})`,
      remedy: 'Name a folder that may be written with --site',
    };
  }
}

function withBoard<S extends Names>(site: S, board: string | undefined): S {
  return board === undefined ? site : { ...site, profiles: { ...site.profiles, board } };
}

type Names = Pick<Site, 'plan' | 'profiles'>;

interface Named {
  scale: ScaleProfile;
  reader: ReaderProfile | null;
  board: BoardProfile;
  gate: Profile<'gate'>;
  crate: Profile<'crate'>;
  plan: Plan;
}

/** Reads every file that the site names, so that one broken file does not hide the next. */
function loadNamed(
  dir: string,
  site: Names,
  source: Source,
  planFile: string | undefined,
): { parts: Named | null; errors: ConfigError[] } {
  const errors: ConfigError[] = [];
  const keep = <T>(loaded: Loaded<T>): T | null => {
    if (loaded.ok) return loaded.value;
    errors.push(...loaded.errors);
    return null;
  };
  const profile = <K extends ProfileKind>(kind: K, name: string): Profile<K> | null =>
    keep(namedProfile(kind, name, dir, source));
  const scale = profile('scale', site.profiles.scale);
  const { reader: readerName } = site.profiles;
  const reader = readerName === undefined ? null : profile('reader', readerName);
  const board = profile('board', site.profiles.board);
  const gate = profile('gate', site.profiles.gate);
  const crate = profile('crate', site.profiles.crate);
  const exits = gate === null ? null : Object.keys(gate.exits);
  const plan = keep(namedPlan(dir, site, source, planFile, exits));
  const parts =
    scale && board && gate && crate && plan && (reader !== null || readerName === undefined)
      ? { scale, reader, board, gate, crate, plan }
      : null;
  return { parts, errors };
}

function namedProfile<K extends ProfileKind>(
  kind: K,
  name: string,
  dir: string,
  source: Source,
): Loaded<Profile<K>> {
  const loaded = loadProfile(kind, name, dir);
  if (loaded !== null) return loaded;
  const message = `there is no ${kind} profile "${name}"`;
  const remedy = suggestion(name, profileNames(kind, dir));
  return { ok: false, errors: [source.error(['profiles', kind], message, remedy)] };
}

function namedPlan(
  dir: string,
  site: Names,
  source: Source,
  given: string | undefined,
  exits: string[] | null,
): Loaded<Plan> {
  const plans = join(dir, 'plans');
  if (given === undefined && !yamlNames(plans).includes(site.plan)) {
    const message = `there is no plan "${site.plan}" in plans`;
    const error = source.error(['plan'], message, suggestion(site.plan, yamlNames(plans)));
    return { ok: false, errors: [error] };
  }
  const file = given ?? join(plans, `${site.plan}.yaml`);
  const text = readText(file);
  return text.ok ? loadPlan(text.value, file, exits) : text;
}

function resolved(dir: string, parts: Named & { site: Site }): ResolvedSite {
  const { site } = parts;
  const content = {
    site,
    config: resolveConfig(parts),
    scaleProfile: parts.scale,
    readerProfile: parts.reader,
    boardProfile: parts.board,
    ports: {
      scale: site.scale.port ?? null,
      reader: site.reader.port ?? null,
      board: site.board.port ?? null,
    },
  };
  return frozen({ dir, ...content, hash: hashOf(content) });
}
