import { closeSync, existsSync, ftruncateSync, openSync, readFileSync, writeSync } from 'node:fs';
import { join } from 'node:path';
import koffi from 'koffi';

const LOCK_SH = 1;
const LOCK_EX = 2;
const LOCK_NB = 4;
const EWOULDBLOCK = 11;

/** Another process holds the site folder. */
export class SiteTaken extends Error {
  override name = 'SiteTaken';
}

/**
 * Takes the site folder for this process until the returned function is called or the process (or
 * thread) ends. The lock belongs to the open file, not to what stands in it: a file left behind by
 * a power cut blocks nobody.
 *
 * @throws {SiteTaken} naming the holder and since when.
 */
export function lockSite(siteDir: string): () => void {
  const path = join(siteDir, 'fank.lock');
  const fd = openSync(path, 'a+');
  if (flock()(fd, LOCK_EX | LOCK_NB) !== 0) {
    const cause = koffi.errno();
    closeSync(fd);
    if (cause !== EWOULDBLOCK) throw new SiteTaken(`${path}: cannot be locked (errno ${cause}).`);
    throw new SiteTaken(
      `${siteDir} is in use by another Fank (${readFileSync(path, 'utf8').trim()}). ` +
        'Two cannot write one day book: stop that one, or give this one a site folder of its own with --site.',
    );
  }
  ftruncateSync(fd, 0);
  writeSync(fd, `process ${process.pid}, since ${new Date().toISOString()}\n`);
  return () => {
    closeSync(fd);
  };
}

/**
 * Who holds the site folder now, as the holder wrote it; null where nobody does. The lock is only tried.
 * @throws the system's error where the lock may not be read.
 */
export function holderOf(siteDir: string): string | null {
  const path = join(siteDir, 'fank.lock');
  if (!existsSync(path)) return null;
  const fd = openSync(path, 'r');
  try {
    if (flock()(fd, LOCK_SH | LOCK_NB) === 0) return null;
    return readFileSync(path, 'utf8').trim();
  } finally {
    closeSync(fd);
  }
}

function flock(): (fd: number, operation: number) => number {
  return koffi.load(null).func('int flock(int fd, int operation)') as (
    fd: number,
    operation: number,
  ) => number;
}
