#!/usr/bin/env node
// Runs the compiled program; on a fresh clone it is compiled once.
import { execFileSync } from 'node:child_process';
import { existsSync } from 'node:fs';
import { fileURLToPath } from 'node:url';

const root = fileURLToPath(new URL('../..', import.meta.url));
const main = new URL('../../dist/src/cli/main.js', import.meta.url);
if (!existsSync(main)) {
  process.stderr.write('Compiling Fank once …\n');
  execFileSync('npm', ['run', '--silent', 'build'], { cwd: root, stdio: ['ignore', 2, 2] });
}
await import(main.href);
