import { beforeAll, describe, expect, it } from 'vitest';
import { loadCore } from './compiled.ts';
import { explore } from './explore.ts';
import type { CoreModule } from './model.ts';
import { GATES, slices } from './slices.ts';

/** More than any slice has: one that grows beyond it no longer closes. */
const STATES = 20_000;

describe('every state that the slices of a shipped gate reach keeps the rules', () => {
  let core: CoreModule;
  beforeAll(async () => {
    core = await loadCore();
  });

  for (const name of GATES) {
    it(name, { timeout: 240_000 }, () => {
      for (const slice of slices(name)) {
        const { states, edges, seconds, closed, breaches } = explore(core, slice, {
          states: STATES,
        });
        const figures = `${states} states, ${edges} edges, ${seconds.toFixed(1)} s`;
        console.log(`${name}, ${slice.name}: ${figures}`);
        expect(breaches, slice.name).toEqual([]);
        expect(closed, slice.name).toBe(true);
        expect(states, slice.name).toBeGreaterThan(50);
      }
    });
  }
});
