import { expect, it } from 'vitest';
import { LAST } from '../../../src/adapters/records/last-weights.ts';
import { openForWriting } from '../../../src/adapters/records/schema.ts';
import { siteFolder } from './example.ts';

it('looks last weights up without building an index over every crossing', () => {
  const db = openForWriting(siteFolder(), 'UTC');
  const plan = db.prepare(`EXPLAIN QUERY PLAN ${LAST}`).all({ since: '2026-01-01' }) as {
    detail: string;
  }[];
  const steps = plan.map((step) => step.detail);
  expect(steps).toContainEqual(expect.stringMatching(/^SEARCH c USING INTEGER PRIMARY KEY/));
  expect(steps).not.toContainEqual(expect.stringContaining('AUTOMATIC'));
  db.close();
});
