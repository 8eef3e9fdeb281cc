import { defineConfig } from 'vitest/config';

/** Only the fast pure tests of the core: a mutant is judged by what runs in seconds. */
export default defineConfig({
  test: {
    include: ['tests/core/{contacts,interlock,cycle,sortplan}/*.test.ts'],
    exclude: [
      'tests/core/cycle/{animal,cycle}.test.ts',
      'tests/core/interlock/hold.test.ts',
      'tests/core/sortplan/{agreement,safety}.test.ts',
    ],
    testTimeout: 60_000,
    pool: 'threads',
    maxWorkers: 1,
  },
});
