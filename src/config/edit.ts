import { parseDocument } from 'yaml';
import type { z } from 'zod';
import type { Loaded } from './errors.ts';
import { loadYaml } from './yaml.ts';

/** One setting to write: the value at a path; undefined takes the setting out. */
export interface Change {
  path: (string | number)[];
  value: unknown;
}

/**
 * Changes settings in a file's text and leaves its comments and order as they are. Gives the new text,
 * or what is wrong with the old one or with what the new one would be; nothing is written.
 */
export function changeYaml(
  text: string,
  file: string,
  schema: z.ZodType,
  changes: readonly Change[],
): Loaded<string> {
  // Only the grammar matters here: a wrong value may be the very one that is to be mended.
  const document = parseDocument(text, { version: '1.2', stringKeys: true, logLevel: 'error' });
  if (document.errors.length > 0) return failed(text, file, schema);
  for (const { path, value } of changes) {
    if (value === undefined) document.deleteIn(path);
    else document.setIn(path, value);
  }
  const changed = document.toString({ lineWidth: 0, flowCollectionPadding: true });
  const read = loadYaml(changed, file, schema);
  return read.ok ? { ok: true, value: changed } : read;
}

function failed(text: string, file: string, schema: z.ZodType): Loaded<string> {
  const read = loadYaml(text, file, schema);
  return read.ok ? { ok: true, value: text } : read;
}
