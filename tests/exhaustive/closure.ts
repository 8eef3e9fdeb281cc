import { beforeAll, expect, it } from 'vitest';
import { loadCore, loadExplorer } from './compiled.ts';
import type { CoreModule } from './model.ts';
import { slices } from './slices.ts';

/** More than any slice has: one that grows beyond it no longer closes. */
const STATES = 20_000;

/** Half of the work is theirs. */
export const MORE_LEAVES = ['four-way', 'five-way'];

/** The tests that every slice of these gates closes without a breach: a file of tests a processor. */
export function everyStateKeepsTheRules(gates: string[]): void {
  let core: CoreModule;
  let explore: Awaited<ReturnType<typeof loadExplorer>>['explore'];
  beforeAll(async () => {
    core = await loadCore();
    ({ explore } = await loadExplorer());
  });

  for (const name of gates) {
    it(name, { timeout: 900_000 }, () => {
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
}
