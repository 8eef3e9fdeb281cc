import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { readerProfile, scaleProfile } from '../../../src/config/frames/schema.ts';
import type { ReaderProfile, ScaleProfile } from '../../../src/config/frames/schema.ts';
import { formatError, loadYaml } from '../../../src/config/yaml.ts';
import type { Read } from '../../../src/config/yaml.ts';

const root = join(import.meta.dirname, '../../../hardware-profiles');

function must<T>(read: Read<T>): T {
  if (!read.ok) throw new Error(read.errors.map(formatError).join('\n'));
  return read.value;
}

/** A shipped profile of a weigh head. */
export function shippedScale(name: string): ScaleProfile {
  const file = join(root, 'scales', `${name}.yaml`);
  return must(loadYaml(readFileSync(file, 'utf8'), file, scaleProfile));
}

/** A shipped profile of a tag reader. */
export function shippedReader(name: string): ReaderProfile {
  const file = join(root, 'readers', `${name}.yaml`);
  return must(loadYaml(readFileSync(file, 'utf8'), file, readerProfile));
}
