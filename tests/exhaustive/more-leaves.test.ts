import { describe } from 'vitest';
import { everyStateKeepsTheRules, MORE_LEAVES } from './closure.ts';

describe('every state that the slices of a gate of three or four leaves reach keeps the rules', () => {
  everyStateKeepsTheRules(MORE_LEAVES);
});
