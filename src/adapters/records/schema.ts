import { existsSync, mkdirSync, rmSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { randomUUID } from 'node:crypto';
import Database from 'better-sqlite3';

/** Animals that one session can have: a crossing's id is its session's number times this, plus the animal. */
export const ANIMALS = 1 << 20;

/**
 * One step a version: `STEPS[n]` takes a database from version n to n + 1. A released step is
 * never edited; a change is a new step.
 */
export const STEPS: readonly string[] = [
  `
  -- One row: who this day book is among all others, and the zone that its days are reckoned in.
  CREATE TABLE site (id TEXT NOT NULL, zone TEXT NOT NULL);
  CREATE TABLE session (
    n INTEGER PRIMARY KEY,
    id TEXT NOT NULL UNIQUE,
    started_ms INTEGER NOT NULL, day TEXT NOT NULL, clock_set INTEGER NOT NULL,
    fank TEXT NOT NULL,
    plan_name TEXT, plan_hash TEXT, plan TEXT,
    division_kg REAL,
    farm TEXT, holding TEXT, flock_mark TEXT, mob TEXT, field TEXT,
    hours_off_feed REAL, fleece TEXT, who TEXT,
    seen INTEGER NOT NULL DEFAULT 0
  );
  CREATE INDEX session_unseen ON session (n) WHERE seen = 0;
  -- Written once, at letting go. Afterwards only what is null is filled in: left_t when the
  -- crossing ended, late (JSON) with what else had changed by then. One animal of one session is
  -- one row: its id is made of both, which spares the card an index written at every animal.
  CREATE TABLE crossing (
    id INTEGER PRIMARY KEY CHECK (id = session * ${ANIMALS} + animal),
    session INTEGER NOT NULL REFERENCES session (n),
    animal INTEGER NOT NULL CHECK (animal >= 0 AND animal < ${ANIMALS}),
    at_ms INTEGER NOT NULL, day TEXT NOT NULL, clock_set INTEGER NOT NULL,
    tag TEXT,
    entered_t INTEGER, first_decided_t INTEGER, decided_t INTEGER, let_go_t INTEGER,
    left_t INTEGER,
    lot TEXT, exit TEXT, pen TEXT,
    decision_kg REAL, recorded_kg REAL, uncertainty_kg REAL,
    rule TEXT, reason TEXT,
    revisions INTEGER NOT NULL, unsure INTEGER NOT NULL,
    flags TEXT NOT NULL, marks TEXT NOT NULL,
    late TEXT
  );
  -- Which sessions have crossings on a day.
  CREATE TABLE session_day (
    day TEXT NOT NULL, session INTEGER NOT NULL REFERENCES session (n), PRIMARY KEY (day, session)
  ) WITHOUT ROWID;
  -- Where a tag was seen, for all sessions but those with seen = 0: written a session at a time,
  -- when the next one begins, and not at every animal.
  CREATE TABLE seen (
    tag TEXT NOT NULL, crossing INTEGER NOT NULL REFERENCES crossing (id), PRIMARY KEY (tag, crossing)
  ) WITHOUT ROWID;
  -- Kept beside what it corrects. No reference to crossing: a correction may name an animal that
  -- was never written.
  CREATE TABLE correction (
    n INTEGER PRIMARY KEY,
    crossing INTEGER NOT NULL,
    at_ms INTEGER NOT NULL, clock_set INTEGER NOT NULL,
    kind TEXT NOT NULL, value TEXT NOT NULL, who TEXT, why TEXT
  );
  CREATE INDEX correction_of ON correction (crossing);
  -- Which pen an exit leads to from then on; before the first row the pen has the exit's name.
  CREATE TABLE pen (
    n INTEGER PRIMARY KEY,
    session INTEGER NOT NULL REFERENCES session (n),
    exit TEXT NOT NULL, name TEXT NOT NULL,
    at_ms INTEGER NOT NULL, clock_set INTEGER NOT NULL
  );
  CREATE TABLE event (
    n INTEGER PRIMARY KEY,
    session INTEGER REFERENCES session (n),
    at_ms INTEGER NOT NULL, day TEXT NOT NULL, clock_set INTEGER NOT NULL,
    t INTEGER NOT NULL, kind TEXT NOT NULL, detail TEXT NOT NULL
  );
  CREATE INDEX event_day ON event (day);
  `,
  `
  -- What every animal of a session is given from then on; product null: nothing any more.
  CREATE TABLE given (
    n INTEGER PRIMARY KEY,
    session INTEGER NOT NULL REFERENCES session (n),
    at_ms INTEGER NOT NULL, day TEXT NOT NULL, clock_set INTEGER NOT NULL,
    product TEXT, batch TEXT, expiry TEXT,
    ml_per_kg REAL, step_ml REAL,
    -- Withdrawal for meat, whole days as the label or the vet says; null: unclear, held.
    days INTEGER, use TEXT, who TEXT
  );
  CREATE INDEX given_in ON given (session);
  -- Written with its crossing. ml null: the weight was not sure, so no dose was shown; whether
  -- something was given is not known, and the animal counts as treated until a person says.
  CREATE TABLE dose (
    crossing INTEGER PRIMARY KEY REFERENCES crossing (id),
    given INTEGER NOT NULL REFERENCES given (n),
    ml REAL
  );
  `,
  `
  -- Every plan that decided anything, once; a crossing points at the exact one that decided it.
  CREATE TABLE plan (
    n INTEGER PRIMARY KEY,
    hash TEXT NOT NULL UNIQUE, name TEXT NOT NULL, resolved TEXT NOT NULL
  );
  -- By which plan a session is sorted from then on.
  CREATE TABLE session_plan (
    n INTEGER PRIMARY KEY,
    session INTEGER NOT NULL REFERENCES session (n),
    plan INTEGER NOT NULL REFERENCES plan (n),
    at_ms INTEGER NOT NULL, clock_set INTEGER NOT NULL
  );
  CREATE INDEX session_plan_of ON session_plan (session);
  ALTER TABLE crossing ADD COLUMN plan INTEGER REFERENCES plan (n);
  -- Weights from before, from a list: no crossing stands behind them.
  CREATE TABLE earlier_weight (
    tag TEXT NOT NULL, day TEXT NOT NULL, kg REAL NOT NULL, PRIMARY KEY (tag, day)
  ) WITHOUT ROWID;
  `,
  `
  -- A known mass on the platform: readings in the middle, and at the corners (JSON) where that was done.
  CREATE TABLE check_weight (
    n INTEGER PRIMARY KEY,
    at_ms INTEGER NOT NULL, day TEXT NOT NULL, clock_set INTEGER NOT NULL,
    max_kg REAL NOT NULL, division_kg REAL NOT NULL,
    mass_kg REAL NOT NULL, middle_kg REAL NOT NULL, corners TEXT NOT NULL,
    who TEXT
  );
  CREATE INDEX check_weight_day ON check_weight (day);
  `,
  `
  -- Weights from before belong to a farm too; farm '': nobody said.
  CREATE TABLE earlier_weight_of (
    tag TEXT NOT NULL, day TEXT NOT NULL, farm TEXT NOT NULL, kg REAL NOT NULL,
    PRIMARY KEY (tag, day, farm)
  ) WITHOUT ROWID;
  INSERT INTO earlier_weight_of SELECT tag, day, '', kg FROM earlier_weight;
  DROP TABLE earlier_weight;
  ALTER TABLE earlier_weight_of RENAME TO earlier_weight;
  `,
];

/** The id of one animal's crossing in the session of that number. */
export function crossingId(session: number, animal: number): number {
  return session * ANIMALS + animal;
}

/** The ids of all crossings of the session whose number stands in `n`, for SQL's BETWEEN. */
export function range(n: string): string {
  return `${n} * ${ANIMALS} AND ${n} * ${ANIMALS} + ${ANIMALS - 1}`;
}

/** The database cannot be used by this version; the message says what to do. */
export class BookRefused extends Error {
  override name = 'BookRefused';
}

export function bookPath(siteDir: string): string {
  return join(siteDir, 'fank.db');
}

/**
 * Opens the day book for writing, made if missing, and brings it to this version one step at a
 * time, each after a copy of the whole database in `backups/`.
 *
 * @throws {BookRefused} if it was written by a newer version.
 */
export function openForWriting(
  siteDir: string,
  zone: string,
  steps: readonly string[] = STEPS,
): Database.Database {
  const path = bookPath(siteDir);
  mkdirSync(dirname(path), { recursive: true });
  const db = new Database(path, { timeout: 5000 });
  try {
    // Small pages: a commit writes whole pages, and a row is a few hundred bytes.
    db.pragma('page_size = 1024');
    db.pragma('journal_mode = WAL');
    db.pragma('synchronous = FULL');
    db.pragma('foreign_keys = ON');
    db.pragma('wal_autocheckpoint = 4000');
    db.pragma(`journal_size_limit = ${4 << 20}`);
    migrate(db, siteDir, steps);
    db.prepare('UPDATE site SET zone = ? WHERE zone <> ?').run(zone, zone);
    return db;
  } catch (error) {
    db.close();
    throw error;
  }
}

function migrate(db: Database.Database, siteDir: string, steps: readonly string[]): void {
  const version = versionOf(db);
  if (version > steps.length) {
    throw new BookRefused(
      `${bookPath(siteDir)} was written by a newer Fank (version ${version} of the day book; this one ` +
        `knows up to ${steps.length}). Use that Fank, or restore an older backup with: fank restore`,
    );
  }
  for (let from = version; from < steps.length; from += 1) {
    if (version > 0) backUpBefore(db, siteDir, from);
    db.transaction(() => {
      db.exec(steps[from] ?? '');
      if (from === 0) db.prepare("INSERT INTO site (id, zone) VALUES (?, 'UTC')").run(randomUUID());
      db.pragma(`user_version = ${from + 1}`);
    })();
  }
}

function backUpBefore(db: Database.Database, siteDir: string, version: number): void {
  const path = join(siteDir, 'backups', `fank-version-${version}.db`);
  mkdirSync(dirname(path), { recursive: true });
  // What is there was left by an attempt that did not get to its end.
  if (existsSync(path)) rmSync(path);
  db.prepare('VACUUM INTO ?').run(path);
}

export function versionOf(db: Database.Database): number {
  return db.pragma('user_version', { simple: true }) as number;
}
