import { existsSync, readFileSync } from 'node:fs';
import { dirname, join } from 'node:path';

/** Fank's version, from the package.json above this file. */
export function version(): string {
  for (let folder = import.meta.dirname; folder !== dirname(folder); folder = dirname(folder)) {
    const file = join(folder, 'package.json');
    if (!existsSync(file)) continue;
    const read = JSON.parse(readFileSync(file, 'utf8')) as { name?: string; version?: string };
    if (read.name === 'fank' && read.version !== undefined) return read.version;
  }
  throw new Error('package.json is missing from the installation: install Fank again');
}
