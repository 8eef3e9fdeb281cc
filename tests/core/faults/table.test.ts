import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, it } from 'vitest';
import { FAULTS } from '../../../src/core/faults/table.ts';
import { faultPage } from './page.ts';

const PAGE = join(import.meta.dirname, '..', '..', '..', 'docs', 'faults.md');

it('the page of faults says what the table says', () => {
  expect(readFileSync(PAGE, 'utf8')).toBe(faultPage(FAULTS));
});

it('every fault says what happened, a likely cause and what to do, in whole sentences', () => {
  for (const [name, fault] of Object.entries(FAULTS)) {
    for (const text of [fault.what, fault.cause, fault.remedy]) {
      expect(text, name).toMatch(/^[A-Z].*\.$/);
    }
  }
});

it('whatever takes all motion off is cleared by a person', () => {
  for (const [name, fault] of Object.entries(FAULTS)) {
    expect(fault.clears, name).toBe(fault.severity === 'trip' ? 'person' : 'itself');
  }
});
