import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { withoutFarm } from '../../config/farms.ts';
import { replaceFile } from '../../config/files.ts';
import { backUp } from './backup.ts';
import { lockSite } from './lock.ts';
import { openForReading } from './reader.ts';
import { openForWriting, range } from './schema.ts';

/** What was deleted, and the copy that was made before. */
interface Forgotten {
  sessions: number;
  crossings: number;
  backup: string;
}

/**
 * Deletes everything that the day book and the lists of the site hold of one farm, and nothing of
 * another, after a backup into `backups/` of the site folder. Null where they know no such farm.
 *
 * @throws {SiteTaken} while a daemon runs there. @throws {NoBook} where there is no day book.
 */
export function forgetFarm(siteDir: string, farm: string, wallMs: number): Forgotten | null {
  const zone = zoneOf(siteDir);
  const unlock = lockSite(siteDir);
  try {
    const db = openForWriting(siteDir, zone);
    try {
      // What is deleted is not left readable in the file.
      db.pragma('secure_delete = ON');
      const ids = db.prepare('SELECT n FROM session WHERE farm = ?').pluck().all(farm) as number[];
      const listed = db.prepare('SELECT count(*) FROM earlier_weight WHERE farm = ?').pluck();
      const files = filesWithout(siteDir, farm);
      if (ids.length === 0 && listed.get(farm) === 0 && files.length === 0) return null;
      const { path: backup } = backUp(siteDir, join(siteDir, 'backups'), wallMs);
      let crossings = 0;
      db.transaction(() => {
        for (const n of ids) {
          for (const sql of OF_SESSION) db.prepare(sql).run({ n });
          crossings += db.prepare(CROSSINGS).run({ n }).changes;
          for (const sql of LAST) db.prepare(sql).run({ n });
        }
        db.prepare('DELETE FROM earlier_weight WHERE farm = ?').run(farm);
      })();
      for (const { path, text } of files) replaceFile(path, text);
      db.pragma('wal_checkpoint(TRUNCATE)');
      return { sessions: ids.length, crossings, backup };
    } finally {
      db.close();
    }
  } finally {
    unlock();
  }
}

/** The treatment record and the tag lists as they are without that farm's rows; those that have any. */
function filesWithout(siteDir: string, farm: string): { path: string; text: string }[] {
  const plans = join(siteDir, 'plans');
  const lists = existsSync(plans) ? readdirSync(plans).filter((name) => name.endsWith('.csv')) : [];
  return [
    ...['treatments.csv', 'treatments-corrected.csv'].map((name) => join(siteDir, name)),
    ...lists.map((name) => join(plans, name)),
  ].flatMap((path) => {
    const text = existsSync(path) ? withoutFarm(readFileSync(path, 'utf8'), farm) : null;
    return text === null ? [] : [{ path, text }];
  });
}

function zoneOf(siteDir: string): string {
  const db = openForReading(siteDir);
  try {
    return db.prepare('SELECT zone FROM site').pluck().get() as string;
  } finally {
    db.close();
  }
}

// Whatever names a crossing or what was given goes before it does.
const OF_SESSION = [
  `DELETE FROM seen WHERE crossing BETWEEN ${range('@n')}`,
  `DELETE FROM dose WHERE crossing BETWEEN ${range('@n')}`,
  `DELETE FROM correction WHERE crossing BETWEEN ${range('@n')}`,
];
const CROSSINGS = `DELETE FROM crossing WHERE id BETWEEN ${range('@n')}`;
const LAST = [
  'DELETE FROM session_day WHERE session = @n',
  'DELETE FROM given WHERE session = @n',
  'DELETE FROM pen WHERE session = @n',
  'DELETE FROM event WHERE session = @n',
  'DELETE FROM session_plan WHERE session = @n',
  'DELETE FROM session WHERE n = @n',
];
