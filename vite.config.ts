import { existsSync } from 'node:fs';
import { defineConfig } from 'vitest/config';

/** Journeys that need a real browser. */
const BROWSER_TESTS = 'tests/journeys/operator*.test.ts';
const CHROMIUM = '/usr/bin/chromium';

// Where nobody looks on, a missing browser is a failure; a person is told what was left out.
const leftOut = !existsSync(CHROMIUM) && process.env['CI'] !== 'true';
if (leftOut) {
  process.stderr.write(
    `Left out: ${BROWSER_TESTS}, for want of ${CHROMIUM}. To have them: apt-get install chromium\n`,
  );
}

export default defineConfig({
  test: {
    include: ['tests/**/*.test.ts'],
    exclude: ['tests/hardware/**', ...(leftOut ? [BROWSER_TESTS] : [])],
    testTimeout: 60_000,
    hookTimeout: 60_000,
    // Real ttys, threads and browsers take real time; a busy CI machine may stall one of them once.
    retry: process.env['CI'] === 'true' ? 1 : 0,
    pool: 'forks',
    maxWorkers: 2,
  },
});
