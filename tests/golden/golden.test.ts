import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { hashOfRun } from './hash.ts';

test('the golden trace gives the same outputs and events, byte for byte', () => {
  const file = join(import.meta.dirname, 'race.trace.ndjson');
  const { hash, items } = hashOfRun(file);
  expect(items).toBeGreaterThan(500);
  expect(hash).toBe(readFileSync(join(import.meta.dirname, 'race.sha256'), 'utf8').trim());
});
