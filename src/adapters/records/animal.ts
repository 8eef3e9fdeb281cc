import type Database from 'better-sqlite3';
import type { Animal, PastWeight } from '../evening.ts';
import { readDay, type BookRow, type BookSession } from './day-book.ts';
import { dailyGain, type Weighing } from './gain.ts';
import { range } from './schema.ts';

const DAY_MS = 86_400_000;
/** More tags than this end alike: the digits that were typed are too few. */
const MOST_TAGS = 5;
const MOST_DAYS = 20;

/**
 * Every weighing of the animals whose tag ends in the digits, newest first, each with the gain since
 * the sure weight before it. Of one farm; '' those that name none, null all where there is one only.
 */
export function animalsEnding(
  db: Database.Database,
  lastDigits: string,
  farm: string | null,
): Animal[] {
  const hits = db.prepare(DAYS_OF).all({ ending: `%${lastDigits}`, farm }) as Hit[];
  const tags = [...new Set(hits.map(({ tag }) => tag))].slice(0, MOST_TAGS);
  return tags.map((tag) => {
    const days = hits.filter((hit) => hit.tag === tag).map(({ day }) => day);
    return { tag, weights: weightsOf(db, tag, days.slice(0, MOST_DAYS), farm) };
  });
}

interface Hit {
  tag: string;
  day: string;
}

// What was seen before this session (tag by tag, so that not every crossing is looked at), this
// session, whose tags are not in that list yet, and tags that were put right.
const DAYS_OF = `
  WITH RECURSIVE each (tag) AS (
    SELECT min(tag) FROM seen
    UNION ALL
    SELECT (SELECT min(tag) FROM seen WHERE seen.tag > each.tag) FROM each WHERE each.tag IS NOT NULL
  ), hit (tag, crossing) AS (
    SELECT seen.tag, seen.crossing FROM each JOIN seen ON seen.tag = each.tag
    WHERE each.tag LIKE @ending
    UNION ALL
    SELECT c.tag, c.id FROM session s CROSS JOIN crossing c ON c.id BETWEEN ${range('s.n')}
    WHERE s.seen = 0 AND c.tag LIKE @ending
    UNION ALL
    SELECT json_extract(k.value, '$'), k.crossing FROM correction k
    WHERE k.kind = 'tag' AND k.value LIKE @ending || '"'
  )
  SELECT DISTINCT hit.tag, c.day
  FROM hit JOIN crossing c ON c.id = hit.crossing JOIN session s ON s.n = c.session
  WHERE @farm IS NULL OR coalesce(s.farm, '') = @farm
  ORDER BY c.day DESC, hit.tag`;

interface Seen {
  row: BookRow;
  session: BookSession;
}

function weightsOf(
  db: Database.Database,
  tag: string,
  days: string[],
  farm: string | null,
): PastWeight[] {
  const all = days.flatMap((day) => seenOn(db, day, tag, farm));
  return all.map((one, i) => pastWeight(one, before(all.slice(i + 1), one)));
}

/** By way of the one query, so that what was put right afterwards is put right here too. */
function seenOn(db: Database.Database, day: string, tag: string, farm: string | null): Seen[] {
  const book = readDay(db, day, farm ?? undefined);
  if (book === null) return [];
  return book.rows
    .filter((row) => row.tag === tag)
    .flatMap((row) => {
      const session = book.sessions.find(({ id }) => id === row.session);
      return session === undefined ? [] : [{ row, session }];
    })
    .reverse();
}

function before(earlier: Seen[], { row }: Seen): Seen | null {
  const is = (one: Seen): boolean => isSure(one.row) && one.row.atMs <= row.atMs - DAY_MS;
  return isSure(row) ? (earlier.find(is) ?? null) : null;
}

function isSure(row: BookRow): boolean {
  return row.recordedKg !== null && !row.unsure && row.notCounted === null && row.clock !== 'unset';
}

function pastWeight(now: Seen, then: Seen | null): PastWeight {
  const { row, session } = now;
  const gain = then === null ? null : dailyGain(weighing(then), weighing(now));
  return {
    day: row.day,
    time: row.localTime.slice(11, 16),
    kg: row.recordedKg,
    uncertaintyKg: row.uncertaintyKg,
    lot: row.lot,
    pen: row.pen,
    unsure: row.unsure,
    notCounted: row.notCounted,
    hoursOffFeed: session.hoursOffFeed,
    fleece: session.fleece,
    gain:
      gain === null
        ? null
        : {
            gramsADay: gain.gramsADay,
            uncertainty: gain.uncertainty,
            widened: gain.widened,
          },
  };
}

function weighing({ row, session }: Seen): Weighing {
  const { hoursOffFeed, fleece } = session;
  const { atMs, uncertaintyKg } = row;
  return { atMs, kg: row.recordedKg ?? 0, uncertaintyKg, hoursOffFeed, fleece };
}
