/** The files of a site that a person changes from the page: written here, by whoever has the folder. */
import { existsSync, mkdirSync, readFileSync, rmSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { replaceFile } from '../../config/files.ts';
import type { FromWorker, SiteFile } from './messages.ts';
import { inWords } from './trouble.ts';

/** What may be written: settings, treatment record, plans with their lists, a weigh head’s profile. */
const MAY_BE_WRITTEN =
  /^(site\.yaml|fitting\.json|treatments\.csv|treatments-corrected\.csv|plans\/[\p{L}\p{N}][\p{L}\p{N} ._-]{0,79}\.(yaml|csv)|profiles\/[a-z0-9][a-z0-9-]{0,39}\.yaml)$/u;

/**
 * Writes all files or, where one cannot be written, leaves all as they were.
 * @returns null, or in words why nothing was written
 */
export function writeSiteFiles(siteDir: string, files: readonly SiteFile[]): string | null {
  const strange = files.find(({ path }) => !MAY_BE_WRITTEN.test(path));
  if (strange !== undefined) return `${strange.path} is no file of a site that may be written.`;
  const before: { path: string; text: string | null }[] = [];
  for (const { path, text } of files) {
    const file = join(siteDir, path);
    try {
      before.push({ path, text: existsSync(file) ? readFileSync(file, 'utf8') : null });
      mkdirSync(dirname(file), { recursive: true });
      replaceFile(file, text);
    } catch (error) {
      putBack(siteDir, before);
      return inWords(error, file);
    }
  }
  return null;
}

/** As far as the card lets it; each file was whole before and is whole after. Null: it was not there. */
function putBack(siteDir: string, before: readonly { path: string; text: string | null }[]): void {
  for (const { path, text } of before) {
    try {
      if (text === null) rmSync(join(siteDir, path), { force: true });
      else replaceFile(join(siteDir, path), text);
    } catch {
      // The reason that is told is the first one.
    }
  }
}

/** Files on their way to the records thread, each set with its answer. */
export interface FileOrders {
  /** Settles with null when all are on the card, else with the reason in words. */
  write: (files: SiteFile[]) => Promise<string | null>;
  answered: (answer: FromWorker) => void;
}

/** A set that is not answered by then is not waited for any longer, ms. */
const PATIENCE_MS = 8000;
const SILENT = 'The card did not take it in time. Look whether it was saved, then try again.';

export function fileOrders(
  send: (order: { kind: 'files'; id: number; files: SiteFile[] }) => boolean,
): FileOrders {
  const waiting = new Map<number, (reason: string | null) => void>();
  let last = 0;
  return {
    write: (files) =>
      new Promise((resolve) => {
        const id = ++last;
        const settle = (reason: string | null): void => {
          clearTimeout(late);
          waiting.delete(id);
          resolve(reason);
        };
        const late = setTimeout(settle, PATIENCE_MS, SILENT);
        waiting.set(id, settle);
        if (!send({ kind: 'files', id, files })) settle('The records are not being saved now.');
      }),
    answered: (answer) => {
      if (answer.kind === 'filed') waiting.get(answer.id)?.(answer.reason);
    },
  };
}
