import { lstat, readdir } from 'node:fs/promises';
import { join } from 'node:path';
import type { TraceOnCard } from './contracts.ts';

const NAME = /^[A-Za-z0-9][A-Za-z0-9._-]{0,80}\.trace\.ndjson(\.gz)?$/;
/** More than a card keeps. */
const MOST = 2000;

/** Traces, newest first; nothing but plain files. */
export async function tracesOf(siteDir: string): Promise<TraceOnCard[]> {
  const dir = join(siteDir, 'traces');
  const names = await readdir(dir).catch(() => []);
  const found: TraceOnCard[] = [];
  for (const name of names.filter((one) => NAME.test(one)).slice(0, MOST)) {
    // One that is being packed or taken away is simply not there any more.
    const file = await lstat(join(dir, name)).catch(() => null);
    if (file?.isFile() === true) {
      found.push({ name, bytes: file.size, writtenMs: Math.round(file.mtimeMs) });
    }
  }
  return found.sort((a, b) => b.writtenMs - a.writtenMs);
}

/** Where a trace of that name is, or null where there is none. */
export async function pathOf(siteDir: string, name: string): Promise<string | null> {
  if (!NAME.test(name)) return null;
  const path = join(siteDir, 'traces', name);
  const file = await lstat(path).catch(() => null);
  return file?.isFile() === true ? path : null;
}
