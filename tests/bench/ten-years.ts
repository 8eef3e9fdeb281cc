import type Database from 'better-sqlite3';
import type { RowMessage } from '../../src/adapters/records/messages.ts';
import { ANIMALS, openForWriting } from '../../src/adapters/records/schema.ts';
import { openStore } from '../../src/adapters/records/store.ts';

const SESSION = 1000;
const TAGS = 5000;
const DAYS = 3650;
const START = Date.UTC(2016, 0, 1, 9);

/** Fills the day book of `siteDir` with this many crossings of two farms and 5,000 tags over ten years. */
export function fillTenYears(siteDir: string, crossings: number): void {
  const db = openForWriting(siteDir, 'Europe/London');
  const store = openStore(db, 'Europe/London', '0.1.0');
  const once = Math.min(20, Math.ceil(crossings / SESSION));
  const times = Math.ceil(crossings / SESSION / once);
  for (let index = 0; index < once; index += 1) {
    store.write(sessionRows(index, Math.floor((DAYS / times) * (index / once))));
  }
  for (let n = 1; n < times; n += 1) repeat(db, once, Math.floor((DAYS / times) * n));
  db.close();
}

/** One session of `SESSION` animals of one of two farms. */
function sessionRows(index: number, day: number): RowMessage[] {
  const startMs = START + day * 86_400_000;
  const farm = index % 2 === 0 ? 'Low Fold' : 'Hill End';
  const id = `S${index}`;
  const wall = (n: number) => ({ atMs: startMs + n * 10_000, clockSet: true });
  const said = {
    holding: null,
    flockMark: null,
    mob: null,
    field: null,
    hoursOffFeed: 2,
    fleece: null,
    who: null,
  };
  const session = { id, plan: null, divisionKg: 0.1, farm, ...said };
  const animals = Array.from({ length: SESSION }, (_, n): RowMessage => {
    const t = n * 10_000;
    const tag = `9990000000${String((n * 7 + index * 131) % TAGS).padStart(5, '0')}`;
    const kg = 30 + ((n * 37 + index * 11) % 200) / 10;
    const crossing = {
      ...{
        animal: n + 1,
        session: id,
        tag,
        lot: kg < 40 ? 'Stores' : 'Fit',
        exit: kg < 40 ? 'left' : 'ahead',
      },
      ...{
        enteredAt: t,
        firstDecidedAt: t + 1500,
        decidedAt: t + 1500,
        letGoAt: t + 4000,
        leftAt: null,
      },
      ...{ decisionKg: kg, recordedKg: kg, uncertaintyKg: 0.12, rule: 'settled' as const },
      ...{
        reason: `${kg} kg settled: 40 kg and more is Fit`,
        revisions: 0,
        unsure: false,
        flags: [],
        marks: [],
      },
    };
    return { kind: 'crossing', session: id, crossing, final: false, wall: wall(n) };
  });
  return [{ kind: 'session', session, wall: wall(0) }, ...animals];
}

/**
 * The sessions written so far once more, `days` later: as the store would write them, at the speed
 * of SQL.
 */
function repeat(db: Database.Database, sessions: number, days: number): void {
  const [n, ms] = [sessions, days * 86_400_000];
  const day = (column: string): string => `date((${column} + ${ms}) / 1000, 'unixepoch')`;
  db.exec(`
    CREATE TEMP TABLE s AS SELECT * FROM session WHERE n <= ${n};
    UPDATE s SET n = n + (SELECT max(n) FROM main.session), started_ms = started_ms + ${ms},
      day = ${day('started_ms')}, seen = 1;
    UPDATE s SET id = 'S' || n;
    INSERT INTO session SELECT * FROM s;
    CREATE TEMP TABLE c AS SELECT * FROM crossing WHERE session <= ${n};
    UPDATE c SET at_ms = at_ms + ${ms}, day = ${day('at_ms')},
      id = id + (SELECT max(n) - ${n} FROM main.session) * ${ANIMALS},
      session = session + (SELECT max(n) - ${n} FROM main.session);
    INSERT INTO crossing SELECT * FROM c;
    INSERT OR IGNORE INTO session_day SELECT DISTINCT day, session FROM c;
    INSERT OR IGNORE INTO seen SELECT tag, id FROM c ORDER BY tag;
    DROP TABLE s; DROP TABLE c;`);
}
