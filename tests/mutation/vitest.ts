import { defineConfig } from 'vitest/config';

/** Only the fast pure tests of the core: a mutant is judged by what runs in seconds. */
export default defineConfig({
  test: {
    include: [
      'tests/core/contacts/*.test.ts',
      'tests/core/interlock/{duty,holding,lane,leaves,trips,waits}.test.ts',
      'tests/core/cycle/{buttons,crossing,deciding,signals,starting}.test.ts',
      'tests/core/sortplan/{decide,marks,rules,withdrawal}.test.ts',
    ],
    testTimeout: 60_000,
    pool: 'threads',
    maxWorkers: 1,
  },
});
