import { existsSync } from 'node:fs';
import Database from 'better-sqlite3';
import { bookPath, STEPS, versionOf } from './schema.ts';

/** The day book cannot be read; the message says what to do. */
export class NoBook extends Error {
  override name = 'NoBook';
}

/**
 * Opens a site's day book for looking only: beside a running daemon, in any thread or process.
 *
 * @throws {NoBook} if there is none yet, or it is of another version, or it cannot be read.
 */
export function openForReading(siteDir: string): Database.Database {
  const path = bookPath(siteDir);
  if (!existsSync(path)) {
    throw new NoBook(`${path}: there is no day book yet. Name the site folder with --site DIR.`);
  }
  try {
    const db = new Database(path, { readonly: true, fileMustExist: true, timeout: 5000 });
    const version = versionOf(db);
    if (version === STEPS.length) return db;
    db.close();
    throw new NoBook(
      `${path}: version ${version} of the day book, this Fank reads version ${STEPS.length}. ` +
        'Start fank run once on this folder to bring it up to date, or use the newer Fank.',
    );
  } catch (error) {
    if (error instanceof NoBook) throw error;
    const said = error instanceof Error ? error.message : String(error);
    throw new NoBook(`${path}: cannot be read (${said}). Put a backup back with: fank restore`, {
      cause: error,
    });
  }
}
