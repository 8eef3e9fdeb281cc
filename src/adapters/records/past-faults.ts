import type Database from 'better-sqlite3';
import type { FaultOfDay } from '../evening.ts';
import { daysOf } from './day.ts';

/** Events that are looked through, newest first: a contact that chatters all day is told once. */
const MOST = 20_000;

/** Faults by day and name, newest day first. */
export function pastFaults(db: Database.Database, days: number): FaultOfDay[] {
  const { zone } = db.prepare('SELECT zone FROM site').get() as { zone: string };
  const { localTime } = daysOf(zone);
  const found = new Map<string, FaultOfDay>();
  for (const { day, atMs, detail } of db.prepare(FAULTS).all(days, MOST) as Row[]) {
    const { fault, detail: more } = JSON.parse(detail) as { fault: string; detail?: string };
    const time = localTime(atMs).slice(11, 16);
    const known = found.get(`${day} ${fault}`);
    if (known === undefined) {
      found.set(`${day} ${fault}`, {
        day,
        fault,
        times: 1,
        first: time,
        last: time,
        detail: more ?? null,
      });
    } else {
      known.times += 1;
      known.first = time;
    }
  }
  return [...found.values()];
}

interface Row {
  day: string;
  atMs: number;
  detail: string;
}

const FAULTS = `
  SELECT day, at_ms AS atMs, detail FROM event
  WHERE kind = 'fault' AND json_extract(detail, '$.on') = 1
    AND day IN (SELECT DISTINCT day FROM event ORDER BY day DESC LIMIT ?)
  ORDER BY n DESC LIMIT ?`;
