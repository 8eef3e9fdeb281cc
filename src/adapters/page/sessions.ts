import { randomBytes } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { z } from 'zod';
import type { Role } from './messages.ts';
import { writePrivately } from './secrets.ts';

/** A sign-in lasts a working day; the installer's, which can move leaves, a morning. Wall ms. */
export const LASTS_MS: Record<Role, number> = {
  operator: 16 * 3_600_000,
  installer: 4 * 3_600_000,
};
/** More devices than a pen needs; the oldest sign-in ends beyond it. */
const MOST = 32;

const session = z.strictObject({
  id: z.string(),
  role: z.enum(['operator', 'installer']),
  device: z.int(),
  untilMs: z.number(),
  pinMark: z.string(),
});
export type Session = z.infer<typeof session>;
const sessionsFile = z.strictObject({ sessions: z.literal(1), list: z.array(session) });

/** Who is signed in; kept in the site folder, so that a restart signs nobody out. */
export interface Sessions {
  /** A new sign-in; `device` is the lowest number that is free. */
  begin(role: Role, pinMark: string, nowMs: number): Session;
  /** The session, or null when unknown, ended, too old, or its PIN has been changed. */
  find(id: string, nowMs: number, markOf: (role: Role) => string): Session | null;
  end(id: string): void;
}

function load(path: string): Session[] {
  try {
    const parsed = sessionsFile.safeParse(JSON.parse(readFileSync(path, 'utf8')));
    return parsed.success ? parsed.data.list : [];
  } catch {
    // Missing or cut off: everybody signs in again, which is the safe side.
    return [];
  }
}

export function openSessions(siteDir: string): Sessions {
  const path = join(siteDir, 'signed-in.json');
  let list = load(path);
  const save = (): void => {
    writePrivately(path, { sessions: 1, list });
  };
  return {
    begin(role, pinMark, nowMs) {
      list = list.filter((one) => one.untilMs > nowMs).slice(-(MOST - 1));
      let device = 1;
      while (list.some((one) => one.device === device)) device++;
      const id = randomBytes(18).toString('base64url');
      const made = { id, role, device, untilMs: nowMs + LASTS_MS[role], pinMark };
      list.push(made);
      save();
      return made;
    },
    find(id, nowMs, markOf) {
      const found = list.find((one) => one.id === id);
      if (found === undefined || found.untilMs <= nowMs) return null;
      return found.pinMark === markOf(found.role) ? found : null;
    },
    end(id) {
      const before = list.length;
      list = list.filter((one) => one.id !== id);
      if (list.length !== before) save();
    },
  };
}
