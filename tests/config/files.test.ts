import { spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, it } from 'vitest';

let dir = '';
beforeEach(() => {
  dir = mkdtempSync(join(tmpdir(), 'fank-files-'));
});
afterEach(() => {
  rmSync(dir, { recursive: true, force: true });
});

/** In a shell in which no file may grow beyond 8 KiB: the system takes the first part and refuses the rest. */
function inLittleRoom(module: string, call: string): string {
  const url = new URL(`../../src/${module}`, import.meta.url).href;
  const script = `import(${JSON.stringify(url)}).then((m) => { ${call} }).catch((e) => console.log(e.code))`;
  const run = spawnSync(
    'bash',
    ['-c', 'ulimit -f 8; exec "$0" --import tsx -e "$1"', process.execPath, script],
    {
      encoding: 'utf8',
    },
  );
  return run.stdout.trim();
}

it('a file that the card takes only a part of is an error, and the old one stays', () => {
  const file = join(dir, 'treatments.csv');
  writeFileSync(file, 'old\n');
  const said = inLittleRoom(
    'config/files.ts',
    `m.replaceFile(${JSON.stringify(file)}, 'x'.repeat(20000))`,
  );
  expect(said).toBe('EFBIG');
  expect(readFileSync(file, 'utf8')).toBe('old\n');
});

it('so it is with what is kept secret', () => {
  const file = join(dir, 'secrets.json');
  writeFileSync(file, '{}\n');
  const call = `m.writePrivately(${JSON.stringify(file)}, { much: 'x'.repeat(20000) })`;
  expect(inLittleRoom('adapters/page/secrets.ts', call)).toBe('EFBIG');
  expect(readFileSync(file, 'utf8')).toBe('{}\n');
});
