import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { STATES, WIRES } from './day.ts';
import { WIRE_FAULTS } from './faults.ts';
import { cell } from './page.ts';
import { why } from './why.ts';

/** The printed table: wire, then fault, then one cell a state. */
function printed(): Map<string, string[]> {
  const text = readFileSync(join(import.meta.dirname, '../../docs/wires.md'), 'utf8');
  const found = new Map<string, string[]>();
  let wire = '';
  for (const line of text.split('\n')) {
    if (line.startsWith('## ')) wire = line.slice(3);
    const [, fault, ...cells] = line.split('|').map((one) => one.trim());
    if (wire !== '' && fault !== undefined) found.set(`${wire}, ${fault}`, cells.slice(0, -1));
  }
  return found;
}

describe('every wire, every fault', () => {
  const table = printed();
  const rows = WIRES.flatMap((wire) => WIRE_FAULTS.map((fault) => ({ wire, fault })));

  it('leaves no cell of the printed table blank and explains each that goes on', () => {
    for (const { wire, fault } of rows) {
      const cells = table.get(`${wire}, ${fault}`) ?? [];
      expect(cells, `${wire}, ${fault}`).toHaveLength(STATES.length);
      for (const one of cells) expect(one).toMatch(/^(no move|goes on|[a-z-]+)$/);
      if (cells.includes('goes on')) expect(why(wire, fault)).not.toBe('');
    }
  });

  // Each row in one state, another for each row; the page is made from all of them.
  it.each(rows.map((row, i) => ({ ...row, place: (i * 3) % STATES.length })))(
    '$wire, $fault is as printed in state $place',
    ({ wire, fault, place }) => {
      const state = STATES[place] ?? 'empty';
      expect(cell(wire, fault, state)).toBe(table.get(`${wire}, ${fault}`)?.[place]);
    },
  );
});
