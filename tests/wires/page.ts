/** The table of every wire and every fault: `npx tsx tests/wires/page.ts` writes docs/wires.md. */
import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { Day, STATES, WIRES, type DayState } from './day.ts';
import { WIRE_FAULTS, type WireFault } from './faults.ts';
import { why } from './why.ts';

export interface Row {
  wire: string;
  fault: WireFault;
  cells: string[];
}

/** `no move`, a fault's name, or `goes on`. */
export function cell(wire: string, fault: WireFault, state: DayState): string {
  const { faults, strokes } = new Day(wire, fault, state).run();
  const first = faults.find((name) => name !== 'held-long' && name !== 'duty-spent');
  if (first !== undefined) return first;
  return strokes === 0 ? 'no move' : 'goes on';
}

export function rowsOf(wire: string): Row[] {
  return WIRE_FAULTS.map((fault) => ({
    wire,
    fault,
    cells: STATES.map((state) => cell(wire, fault, state)),
  }));
}

const HEAD = `# Every wire, every fault

Made by \`npx tsx tests/wires/page.ts\`. A run of the tests compares one of the ten states in each row, another for
each row, with what the core does; all ten are compared only by making the page anew. One input of a three-way gate with end switches breaks in the state that the column names; the day then goes on for
one more animal, with its stroke, and with a press of start where it stood still.

- a name: that [fault](faults.md) is raised within the one animal.
- **no move**: no leaf is moved from then on.
- **goes on**: neither. What the operator sees then, and why that is accepted, stands below the table.

A contact switches the supply on to its wire, so *broken* and *0 V* read as off and *supply* as on;
*leaking* reads at random, *chattering* changes ten times a second, *frozen* stays as it was.
Lock off before a wire is touched.
`;

export function section(rows: Row[]): string {
  const wire = rows[0]?.wire ?? '';
  const line = (cells: readonly string[]): string => `| ${cells.join(' | ')} |\n`;
  const head = line(['', ...STATES]) + line(['---', ...STATES.map(() => '---')]);
  const body = rows.map(({ fault, cells }) => line([fault, ...cells])).join('');
  const open = rows.filter(({ cells }) => cells.includes('goes on'));
  const notes = open.map(({ fault }) => `- ${fault}: ${why(wire, fault)}\n`);
  return `\n## ${wire}\n\n${head}${body}${notes.length > 0 ? `\n${notes.join('')}` : ''}`;
}

export function wirePage(): string {
  return HEAD + WIRES.map((wire) => section(rowsOf(wire))).join('');
}

if (process.argv[1] === import.meta.filename) {
  writeFileSync(join(import.meta.dirname, '../../docs/wires.md'), wirePage());
}
