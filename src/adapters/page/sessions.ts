import { randomBytes } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { z } from 'zod';
import type { Role } from './messages.ts';
import { writePrivately } from './secrets.ts';

const HOUR_MS = 3_600_000;
/** The operator's sign-in ends at this time of the next night, by the clock of the site. */
const ENDS_AT = '04:00';
const QUARTER_MS = HOUR_MS / 4;
/** Whoever signs in shortly before it has the next working day; the installer has always this long. */
const LEAST_MS = 4 * HOUR_MS;
/** Longer than any sign-in: one that seems to last longer was made while the clock was wrong. */
const LONGEST_MS = 30 * HOUR_MS;
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
  /** Everybody who is signed in now. */
  list(nowMs: number, markOf: (role: Role) => string): Session[];
}

/** `hh:mm` by the clock of the site. */
export function clockText(atMs: number, zone: string): string {
  const said = { timeZone: zone, hour: '2-digit', minute: '2-digit', hourCycle: 'h23' } as const;
  return new Intl.DateTimeFormat('en-GB', said).format(atMs);
}

/**
 * When a sign-in of now ends, wall ms: the operator's at 04:00 by the clock of the site, at least four
 * hours from now; the installer's, which can move leaves, after four hours.
 */
export function endOf(role: Role, nowMs: number, zone: string): number {
  const leastMs = nowMs + LEAST_MS;
  if (role === 'installer') return leastMs;
  // Quarter by quarter, as zones lie apart, so that a change of the clock in that night is taken along.
  let atMs = Math.ceil(leastMs / QUARTER_MS) * QUARTER_MS;
  while (clockText(atMs, zone) !== ENDS_AT && atMs < nowMs + LONGEST_MS) atMs += QUARTER_MS;
  return atMs;
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

export function openSessions(siteDir: string, zone: string): Sessions {
  const path = join(siteDir, 'signed-in.json');
  let list = load(path);
  const save = (): void => {
    writePrivately(path, { sessions: 1, list });
  };
  const holds = (one: Session, nowMs: number, markOf: (role: Role) => string): boolean => {
    const leftMs = one.untilMs - nowMs;
    return leftMs > 0 && leftMs <= LONGEST_MS && one.pinMark === markOf(one.role);
  };
  return {
    begin(role, pinMark, nowMs) {
      list = list.filter((one) => one.untilMs > nowMs).slice(-(MOST - 1));
      let device = 1;
      while (list.some((one) => one.device === device)) device++;
      const id = randomBytes(18).toString('base64url');
      const made = { id, role, device, untilMs: endOf(role, nowMs, zone), pinMark };
      list.push(made);
      save();
      return made;
    },
    find(id, nowMs, markOf) {
      const found = list.find((one) => one.id === id);
      return found !== undefined && holds(found, nowMs, markOf) ? found : null;
    },
    end(id) {
      const before = list.length;
      list = list.filter((one) => one.id !== id);
      if (list.length !== before) save();
    },
    list: (nowMs, markOf) => list.filter((one) => holds(one, nowMs, markOf)),
  };
}
