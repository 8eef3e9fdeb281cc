/**
 * The page about diagnosis as it follows from the table of causes and from the faults that are injected:
 * `npx tsx tests/diagnosis/page.ts` writes it.
 */
import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { CAUSES } from '../../src/diagnosis/table.ts';
import { faults } from './faults.ts';

const HEAD = `# Diagnosis: what a trace tells

Made from \`src/diagnosis/table.ts\` and \`tests/diagnosis/faults.ts\` by \`npx tsx tests/diagnosis/page.ts\`;
a test compares the two.

\`\`\`sh
fank check --trace fault.trace.ndjson                   one line a finding
fank check --trace zero.trace.ndjson --known-kg 20      a mass of 20 kg stood on the crate meanwhile
fank check --site ./fank-site                           listens for 5 s, and looks at the last trace
\`\`\`

Each finding has its number, its likely cause and what to do; a fault that was raised in the trace is
listed with the words of [its page](faults.md). Exit code 1: something was found. "Nothing wrong to be
seen" is not "nothing wrong": a leaf without end switches, or a contact that is not fitted, leaves nothing
in a trace that could be looked at. **Lock off before reaching into the gate, whatever is shown here.**

## What is looked for

| name | what shows | likely cause | what to do |
| --- | --- | --- | --- |
`;

const NUMBERS = `
Where the line is drawn: an empty crate scatters by more than two divisions; a step or a change of zero
from animal to animal of more than 0.3 kg (or three divisions); a zero 0.5 kg (or five divisions) away in
one direction; a known mass off by more than OIML R 76-1 allows in service; more than 2 % of readings
missing or 1 % of the frames garbled; a stroke longer than 95 % of \`travelMs\`, which is measured at the
lowest voltage; three bounces, or two drop-outs, of one contact; a battery within 0.3 V of its limit at rest,
a sag of more than 1.2 V, more than 13.2 V at rest. Where no source is named it is common practice.

## Faults injected, and what named them

Each is put into a simulated morning around the real loop; the trace that it leaves verifies
(\`fank replay --verify\`), and its diagnosis names the cause. Each row is one test of
\`tests/diagnosis/faults.test.ts\`, by the same name; those that the core's own faults name run with
\`FANK_PROOF=1 npx vitest run tests/diagnosis\`.

| fault injected | found as |
| --- | --- |
`;

const TAIL = `
Five mornings with nothing wrong (five gates, five seeds) find nothing: the last tests of that file.
What a trace cannot tell apart is not told apart: a blown fuse, a relay that does not pull and a jammed
leaf look alike until the other direction is tried, and an end switch that died looks like a leaf that
does not arrive. Both are named then.
`;

/** The whole page as text. */
export function diagnosisPage(): string {
  const causes = Object.entries(CAUSES).map(
    ([name, { what, cause, remedy }]) => `| \`${name}\` | ${what} | ${cause} | ${remedy} |\n`,
  );
  const found = faults.map((one) => `| ${one.fault} | \`${one.found}\` |\n`);
  return [HEAD, ...causes, NUMBERS, ...found, TAIL].join('');
}

if (process.argv[1] === import.meta.filename) {
  const page = join(import.meta.dirname, '..', '..', 'docs', 'diagnosis.md');
  writeFileSync(page, diagnosisPage());
}
