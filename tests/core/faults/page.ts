/** The page of faults as it follows from the table: `npx tsx tests/core/faults/page.ts` writes it. */
import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { FAULTS, type Fault } from '../../../src/core/faults/table.ts';

const HEAD = `# Faults

Made from the table in \`src/core/faults/table.ts\` by \`npx tsx tests/core/faults/page.ts\`; a test
compares the two.

- **trip**: all motion off at once. A person clears it when its cause is gone, then starts anew.
- **hold**: this animal is finished and no further automatic stroke begins. Goes with its cause.
- **note**: said and shown, nothing more. Goes with its cause.

Lock off before reaching into the gate, whatever is shown here.
`;

/** The whole page as text. */
export function faultPage(faults: Record<string, Fault>): string {
  const parts = Object.entries(faults).map(
    ([name, { what, cause, remedy, severity }]) =>
      `\n## ${name}\n\n${severity}\n\n- What happened: ${what}\n- Likely cause: ${cause}\n- What to do: ${remedy}\n`,
  );
  return HEAD + parts.join('');
}

if (process.argv[1] === import.meta.filename) {
  const page = join(import.meta.dirname, '..', '..', '..', 'docs', 'faults.md');
  writeFileSync(page, faultPage(FAULTS));
}
