import { defineConfig } from 'vitest/config';

/** Only the fast pure tests of the core: a mutant is judged by what runs in seconds. */
export default defineConfig({
  test: {
    include: [
      'tests/core/contacts/*.test.ts',
      'tests/core/interlock/*.test.ts',
      'tests/core/cycle/*.test.ts',
      'tests/core/sortplan/{decide,details,dosing,marks,rules,withdrawal}.test.ts',
    ],
    testTimeout: 60_000,
    pool: 'threads',
    maxWorkers: 1,
  },
});
