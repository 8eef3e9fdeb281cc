import { describe } from 'vitest';
import { everyStateKeepsTheRules, MORE_LEAVES } from './closure.ts';
import { GATES } from './slices.ts';

describe('every state that the slices of a gate of one or two leaves reach keeps the rules', () => {
  everyStateKeepsTheRules(GATES.filter((gate) => !MORE_LEAVES.includes(gate)));
});
