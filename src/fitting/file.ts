/** Where a fitting is kept: `fitting.json` of the site folder. */
import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { z } from 'zod';
import { hashOf } from '../config/hash.ts';
import type { ResolvedSite } from '../config/load.ts';
import { NOTHING_DONE, type FittingState, type Marks } from './state.ts';

export const FITTING_FILE = 'fitting.json';

const value = z.union([
  z.number(),
  z.boolean(),
  z.string(),
  z.array(z.union([z.number(), z.null()])),
]);
const marks = z.strictObject({ scale: z.string(), inputs: z.string(), gate: z.string() });
const when = { who: z.string(), atMs: z.number(), clockSet: z.boolean() };
const file = z.strictObject({
  fitting: z.literal(1),
  results: z.record(
    z.string(),
    z.strictObject({
      ...{ ok: z.boolean(), value, mark: z.string().nullable() },
      way: z.enum(['extend', 'retract']).optional(),
      volts: z.number().optional(),
      ...when,
    }),
  ),
  signed: z
    .strictObject({
      ...{ marks, open: z.array(z.string()), since: z.array(z.string()).optional() },
      ...when,
    })
    .nullable(),
  yard: z.strictObject({ place: z.string(), who: z.string(), atMs: z.number() }).nullable(),
  boots: z.array(z.string()),
});

/**
 * The fitting of a site; one that was never begun has nothing done. A file that cannot be read counts as
 * nothing done too, and `trouble` says so.
 */
export function readFitting(siteDir: string): { state: FittingState; trouble: string | null } {
  const path = join(siteDir, FITTING_FILE);
  if (!existsSync(path)) return { state: NOTHING_DONE, trouble: null };
  try {
    const parsed = file.safeParse(JSON.parse(readFileSync(path, 'utf8')));
    if (parsed.success) return { state: parsed.data, trouble: null };
  } catch {
    // Said below: what a damaged file holds cannot be told apart.
  }
  const trouble = `${path} is damaged: every step of the fitting counts as not done. Restore it from a backup.`;
  return { state: NOTHING_DONE, trouble };
}

export function fittingText(state: FittingState): string {
  return `${JSON.stringify(state, null, 2)}\n`;
}

/** Hashes of the settings that a fitting is signed for. */
export function marksOf({ config, boardProfile: board, site, scaleProfile }: ResolvedSite): Marks {
  const { gate, inputs, crate } = config;
  // Words about a profile change nothing that was tried.
  const wired = { ...board, name: '', about: '' };
  const read = { ...wired, outputs: null };
  return {
    scale: hashOf({ scale: config.scale, port: site.scale, profile: scaleProfile }),
    inputs: hashOf({ board: read, inputs, debounceMs: crate.debounceMs, port: site.board }),
    gate: hashOf({ board: wired, gate, inputs, debounceMs: crate.debounceMs, port: site.board }),
  };
}

/** Names this start of the machine; null where the system does not say. */
export function bootId(): string | null {
  try {
    return readFileSync('/proc/sys/kernel/random/boot_id', 'utf8').trim();
  } catch {
    return null;
  }
}
