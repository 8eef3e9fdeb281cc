import { describe, expect, it } from 'vitest';
import * as core from '../../src/core/step.ts';
import { explore } from './explore.ts';
import { alphabets, shortConfig, shortGate } from './profiles.ts';

/** Alphabets that close within a test run; `run.ts` explores the others as far as it is let. */
const CLOSED: [gate: string, slice: string][] = [
  ['two-way', 'links'],
  ['two-way', 'stopping'],
];

describe('every state that these alphabets reach keeps the rules', () => {
  for (const [name, slice] of CLOSED) {
    it(`${name}: ${slice}`, { timeout: 240_000 }, () => {
      const gate = shortGate(name);
      const found = alphabets(gate).find((one) => one.alphabet.name === slice);
      if (found === undefined) throw new Error(`no alphabet ${slice}`);
      const config = shortConfig(gate, found.contacts);
      const limits = { states: 20_000, stopAtBreach: false };
      const explored = explore(core, config, found.alphabet, limits);
      const { states, edges, seconds } = explored;
      console.log(`${name}, ${slice}: ${states} states, ${edges} edges, ${seconds.toFixed(1)} s`);
      expect(explored.breaches).toEqual([]);
      expect(explored.closed).toBe(true);
      expect(states).toBeGreaterThan(500);
    });
  }
});
