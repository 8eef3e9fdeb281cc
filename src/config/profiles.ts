import { existsSync, readdirSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { z } from 'zod';
import { boardSchema, type BoardProfile } from './boards.ts';
import { checkBoard } from './board-checks.ts';
import { checkCrate, crateSchema, type CrateProfile } from './crates.ts';
import type { ConfigError } from './errors.ts';
import { readText } from './files.ts';
import { readerProfile, scaleProfile } from './frames/schema.ts';
import type { ReaderProfile, ScaleProfile } from './frames/schema.ts';
import { checkGate, gateSchema, type GateProfile } from './gates.ts';
import { loadYaml, sorted, type Finding, type Read } from './yaml.ts';

interface Profiles {
  scale: ScaleProfile;
  reader: ReaderProfile;
  board: BoardProfile;
  gate: GateProfile;
  crate: CrateProfile;
}

export type ProfileKind = keyof Profiles;
export type Profile<K extends ProfileKind> = Profiles[K];

/** Each kind of profile: the folder that the shipped ones stand in, its schema, further checks. */
const KINDS: {
  [K in ProfileKind]: {
    folder: string;
    schema: z.ZodType<Profiles[K]>;
    check: (profile: Profiles[K]) => Finding[];
  };
} = {
  scale: { folder: 'scales', schema: scaleProfile, check: nothing },
  reader: { folder: 'readers', schema: readerProfile, check: nothing },
  board: { folder: 'boards', schema: boardSchema, check: checkBoard },
  gate: { folder: 'gates', schema: gateSchema, check: checkGate },
  crate: { folder: 'crates', schema: crateSchema, check: checkCrate },
};

export const PROFILE_KINDS = Object.keys(KINDS) as ProfileKind[];

function nothing(): Finding[] {
  return [];
}

/** Where the profiles that come with Fank are: `hardware-profiles` beside the sources. */
export function shippedProfiles(): string {
  for (let folder = import.meta.dirname; folder !== dirname(folder); folder = dirname(folder)) {
    const here = join(folder, 'hardware-profiles');
    if (existsSync(here)) return here;
  }
  throw new Error('hardware-profiles is missing from the installation: install Fank again');
}

/** Reads one profile's text; all faults at once. */
export function readProfile<K extends ProfileKind>(
  kind: K,
  text: string,
  file: string,
): Read<Profile<K>> {
  const { schema, check } = KINDS[kind];
  const read = loadYaml(text, file, schema);
  if (!read.ok) return read;
  const found = check(read.value).map((finding) => read.source.at(finding));
  return found.length === 0 ? read : { ok: false, errors: sorted(found) };
}

/** Reads one profile's text of a kind that only its own `kind:` tells. */
export function readAnyProfile(
  text: string,
  file: string,
): { kind: ProfileKind; read: Read<Profile<ProfileKind>> } | { kind: null; errors: ConfigError[] } {
  const told = loadYaml(text, file, z.looseObject({ kind: z.enum(PROFILE_KINDS) }));
  if (!told.ok) return { kind: null, errors: told.errors };
  const { kind } = told.value;
  return { kind, read: readProfile(kind, text, file) };
}

/** Names that `profiles:` of a site may name: the site's own, then the shipped ones. */
export function profileNames(kind: ProfileKind, siteDir: string | null): string[] {
  const own = siteDir === null ? [] : yamlNames(join(siteDir, 'profiles'));
  const shipped = yamlNames(join(shippedProfiles(), KINDS[kind].folder));
  return [...new Set([...own, ...shipped])];
}

/** The weigh heads that come with Fank. */
export function shippedScales(): ScaleProfile[] {
  const folder = join(shippedProfiles(), KINDS.scale.folder);
  return yamlNames(folder).flatMap((name) => {
    const file = `${name}.yaml`;
    const text = readText(join(folder, file));
    const read = text.ok ? readProfile('scale', text.value, file) : null;
    return read?.ok ? [read.value] : [];
  });
}

/** Names, without their ending, of the YAML files in a folder, sorted; none where there is none. */
export function yamlNames(folder: string): string[] {
  if (!existsSync(folder)) return [];
  return readdirSync(folder)
    .filter((file) => file.endsWith('.yaml'))
    .map((file) => file.slice(0, -'.yaml'.length))
    .sort();
}

/** The file of a profile: the site's own goes before the shipped one; null where there is none. */
function profileFile(kind: ProfileKind, name: string, siteDir: string | null): string | null {
  const places = [
    ...(siteDir === null ? [] : [join(siteDir, 'profiles')]),
    join(shippedProfiles(), KINDS[kind].folder),
  ];
  return (
    places.map((place) => join(place, `${name}.yaml`)).find((file) => existsSync(file)) ?? null
  );
}

/** One profile by its name; null where no file has that name. */
export function loadProfile<K extends ProfileKind>(
  kind: K,
  name: string,
  siteDir: string | null,
): Read<Profile<K>> | null {
  const file = profileFile(kind, name, siteDir);
  if (file === null) return null;
  const text = readText(file);
  return text.ok ? readProfile(kind, text.value, file) : text;
}

/** JSON Schema of a kind of profile, for editors that check and complete YAML while it is written. */
export function profileJsonSchema(kind: ProfileKind): object {
  return z.toJSONSchema(KINDS[kind].schema, { io: 'input', target: 'draft-7' });
}
