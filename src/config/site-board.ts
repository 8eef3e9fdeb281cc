import { join, resolve } from 'node:path';
import { z } from 'zod';
import type { BoardProfile } from './boards.ts';
import type { Loaded } from './errors.ts';
import { readText } from './files.ts';
import { suggestion } from './nearest.ts';
import { loadProfile, profileNames } from './profiles.ts';
import { siteSchema } from './site.ts';
import { loadYaml } from './yaml.ts';

/** The board that a site names, and its port. */
export interface SiteBoard {
  name: string;
  profile: BoardProfile;
  port: string | null;
}

const { profiles, board } = siteSchema.shape;
const boardOnly = z.looseObject({
  profiles: z.looseObject({ board: profiles.shape.board }),
  board,
});

/**
 * Reads no more of a site than its board: whatever is broken beside it, lines can be let go. Makes
 * nothing.
 */
export function loadSiteBoard(folder: string): Loaded<SiteBoard> {
  const dir = resolve(folder);
  const file = join(dir, 'site.yaml');
  const text = readText(file);
  if (!text.ok) return text;
  const read = loadYaml(text.value, file, boardOnly);
  if (!read.ok) return read;
  const { board: name } = read.value.profiles;
  const profile = loadProfile('board', name, dir);
  if (profile === null) {
    const message = `there is no board profile "${name}"`;
    const remedy = suggestion(name, profileNames('board', dir));
    return { ok: false, errors: [read.source.error(['profiles', 'board'], message, remedy)] };
  }
  if (!profile.ok) return profile;
  const port = read.value.board.port ?? null;
  return { ok: true, value: { name, profile: profile.value, port } };
}
