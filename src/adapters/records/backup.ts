import {
  closeSync,
  cpSync,
  existsSync,
  fsyncSync,
  mkdirSync,
  openSync,
  readdirSync,
  renameSync,
  rmSync,
} from 'node:fs';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { lockSite } from './lock.ts';
import { openForReading } from './reader.ts';
import { bookPath, STEPS, versionOf } from './schema.ts';

/** Besides the day book, what makes a site; traces stay out, they are large and of the day. */
const SETTINGS = [
  'site.yaml',
  'fitting.json',
  'plans',
  'profiles',
  'treatments.csv',
  'treatments-corrected.csv',
];

/** A backup as it was checked, or put back. */
export interface Backup {
  /** The folder of the backup. */
  path: string;
  crossings: number;
  latestDay: string | null;
}

/** A backup that is none, or a site that cannot be replaced; the message says what to do. */
export class BackupRefused extends Error {
  override name = 'BackupRefused';
}

/**
 * Copies day book and settings into a new folder `fank-backup-<UTC>` in `toDir`, beside a running
 * daemon, and opens the copy to check it. It gets its name only when it is whole.
 *
 * @throws {NoBook} where there is nothing to copy. @throws {BackupRefused} where the copy is not sound.
 */
export function backUp(siteDir: string, toDir: string, wallMs: number): Backup {
  const path = join(toDir, `fank-backup-${stamp(wallMs)}`);
  if (existsSync(path)) throw new BackupRefused(`${path} is there already.`);
  const part = `${path}.part`;
  rmSync(part, { recursive: true, force: true });
  mkdirSync(part, { recursive: true });
  try {
    const db = openForReading(siteDir);
    try {
      db.prepare('VACUUM INTO ?').run(bookPath(part));
    } finally {
      db.close();
    }
    copySettings(siteDir, part);
    const { crossings, latestDay } = checkBackup(part);
    syncAll(part);
    renameSync(part, path);
    return { path, crossings, latestDay };
  } catch (error) {
    rmSync(part, { recursive: true, force: true });
    throw error;
  }
}

/**
 * Opens a backup and looks through the whole of it.
 *
 * @throws {BackupRefused} if it is not one, is damaged or is newer than this Fank.
 */
export function checkBackup(path: string): Backup {
  const file = bookPath(path);
  if (!existsSync(file)) throw new BackupRefused(`${path}: no backup, there is no fank.db in it.`);
  try {
    const db = new Database(file, { readonly: true });
    try {
      const found = db.pragma('integrity_check', { simple: true });
      if (found !== 'ok') throw new BackupRefused(`${file}: damaged (${String(found)}).`);
      if (versionOf(db) > STEPS.length) throw new BackupRefused(`${file}: of a newer Fank.`);
      const counted = db.prepare(
        'SELECT count(*) AS crossings, max(day) AS latestDay FROM crossing',
      );
      return { path, ...(counted.get() as Omit<Backup, 'path'>) };
    } finally {
      db.close();
    }
  } catch (error) {
    if (error instanceof BackupRefused) throw error;
    throw new BackupRefused(`${file}: cannot be read as a day book (${(error as Error).message}).`);
  }
}

/**
 * Puts a backup in the place of a site's day book and settings. What was there is kept in the
 * returned folder; traces stay where they are.
 *
 * @throws {SiteTaken} while a daemon runs there. @throws {BackupRefused} if the backup is not sound.
 */
export function restore(
  backup: string,
  siteDir: string,
  wallMs: number,
): Backup & { replaced: string } {
  const checked = checkBackup(backup);
  mkdirSync(siteDir, { recursive: true });
  const unlock = lockSite(siteDir);
  try {
    const part = join(siteDir, 'restore.part');
    rmSync(part, { recursive: true, force: true });
    mkdirSync(part);
    cpSync(bookPath(backup), bookPath(part));
    copySettings(backup, part);
    syncAll(part);
    checkBackup(part);
    const replaced = join(siteDir, `replaced-${stamp(wallMs)}`);
    mkdirSync(replaced);
    // The write-ahead log goes first: beside another database it would do damage.
    const names = ['fank.db-wal', 'fank.db-shm', 'fank.db', ...SETTINGS];
    moveThere(siteDir, replaced, names);
    moveThere(part, siteDir, names);
    rmSync(part, { recursive: true });
    syncAll(siteDir);
    return { ...checked, replaced };
  } finally {
    unlock();
  }
}

function moveThere(from: string, to: string, names: string[]): void {
  for (const name of names) {
    if (existsSync(join(from, name))) renameSync(join(from, name), join(to, name));
  }
}

function copySettings(from: string, to: string): void {
  for (const name of SETTINGS) {
    if (existsSync(join(from, name))) cpSync(join(from, name), join(to, name), { recursive: true });
  }
}

/** Syncs the files of a folder, then the folder. */
function syncAll(dir: string): void {
  for (const entry of readdirSync(dir, { withFileTypes: true })) {
    if (entry.isFile() && !entry.name.endsWith('.lock')) syncOne(join(dir, entry.name));
    if (entry.isDirectory() && SETTINGS.includes(entry.name)) syncAll(join(dir, entry.name));
  }
  syncOne(dir);
}

function syncOne(path: string): void {
  const fd = openSync(path, 'r');
  try {
    fsyncSync(fd);
  } finally {
    closeSync(fd);
  }
}

function stamp(wallMs: number): string {
  return new Date(wallMs)
    .toISOString()
    .replace(/\.\d+Z$/, 'Z')
    .replaceAll(':', '-');
}
