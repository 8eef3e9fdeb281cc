import { z } from 'zod';
import type { CrateConfig } from '../core/cycle/crate.ts';
import type { Finding } from './issues.ts';
import { about, between, milliseconds, title } from './values.ts';

/** Contacts that a crate can have; each is live on its wire in the state that it is named for. */
export const CRATE_CONTACTS = ['frontShut', 'backShut', 'handsOff'] as const;

export const loadingKg = between(1, 50, 'kg');
export const emptyKg = between(0.5, 49, 'kg');

/** A crate profile as it is written; `resolveCrate` makes the core's CrateConfig of it. */
export const crateSchema = z.strictObject({
  kind: z.literal('crate'),
  name: title,
  about,
  type: z.enum(['hand-gates', 'linked-gates', 'clamp', 'walk-through']),
  contacts: z.array(z.enum(CRATE_CONTACTS)).describe('Those that are fitted to this crate'),
  loadingKg: loadingKg.default(8).describe('A reading over this begins an animal, kg'),
  emptyKg: emptyKg.default(4).describe('Counts as empty below this, kg'),
  takeBackMs: milliseconds(300, 5000).default(500),
  heldCallMs: milliseconds(5000, 600_000).default(60_000),
  debounceMs: milliseconds(20, 100).default(40),
});

export type CrateProfile = z.output<typeof crateSchema>;

export function resolveCrate(profile: CrateProfile): CrateConfig {
  return {
    kind: profile.type,
    loadingKg: profile.loadingKg,
    emptyKg: profile.emptyKg,
    takeBackMs: profile.takeBackMs,
    heldCallMs: profile.heldCallMs,
    debounceMs: profile.debounceMs,
  };
}

export function checkCrate(crate: { loadingKg: number; emptyKg: number }): Finding[] {
  if (crate.emptyKg < crate.loadingKg) return [];
  return [
    {
      path: ['emptyKg'],
      at: 'value',
      message: `the crate would count as empty at ${crate.emptyKg} kg but as loaded over ${crate.loadingKg} kg`,
      remedy: 'Give emptyKg less than loadingKg',
    },
  ];
}
