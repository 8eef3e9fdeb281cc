import type Database from 'better-sqlite3';
import type { Animal, PastWeight } from '../evening.ts';
import { readDay, type BookRow, type BookSession } from './day-book.ts';
import { dailyGain, UNKNOWN_CONDITION, type Weighing } from './gain.ts';
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
  const asked = { ending: `%${lastDigits}`, farm };
  const hits = db.prepare(DAYS_OF).all(asked) as Hit[];
  const listed = db.prepare(LISTED).all(asked) as ListedWeight[];
  const tags = [...new Set([...hits, ...listed].map(({ tag }) => tag))].slice(0, MOST_TAGS);
  return tags.map((tag) => {
    const days = hits.filter((hit) => hit.tag === tag).map(({ day }) => day);
    const seen = days.slice(0, MOST_DAYS).flatMap((day) => seenOn(db, day, tag, farm));
    const lists = listed.filter((one) => one.tag === tag).map(ofList);
    const all = [...seen, ...lists].sort((one, two) => two.day.localeCompare(one.day));
    return { tag, weights: withGains(all).slice(0, MOST_DAYS) };
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

const LISTED = `
  SELECT tag, day, kg FROM earlier_weight
  WHERE tag LIKE @ending AND (@farm IS NULL OR farm = @farm) ORDER BY day DESC, tag`;

interface ListedWeight extends Hit {
  kg: number;
}

/** A weight as it is shown, and what a gain may be reckoned from; null where it is not sure. */
interface Seen extends Omit<PastWeight, 'gain'> {
  weighing: Weighing | null;
}

/** By way of the one query, so that what was put right afterwards is put right here too. */
function seenOn(db: Database.Database, day: string, tag: string, farm: string | null): Seen[] {
  const book = readDay(db, day, farm ?? undefined);
  if (book === null) return [];
  return book.rows
    .filter((row) => row.tag === tag)
    .flatMap((row) => {
      const session = book.sessions.find(({ id }) => id === row.session);
      return session === undefined ? [] : [ofCrossing(row, session)];
    })
    .reverse();
}

function ofCrossing(row: BookRow, { hoursOffFeed, fleece }: BookSession): Seen {
  const { atMs, day, recordedKg: kg, uncertaintyKg, lot, pen, unsure, notCounted } = row;
  const isSure = !unsure && notCounted === null && row.clock !== 'unset';
  return {
    ...{ day, time: row.localTime.slice(11, 16), kg, uncertaintyKg },
    source: 'crossing',
    ...{ lot, pen, unsure, notCounted, hoursOffFeed, fleece },
    weighing: kg !== null && isSure ? { atMs, kg, uncertaintyKg, hoursOffFeed, fleece } : null,
  };
}

function ofList({ day, kg }: ListedWeight): Seen {
  return {
    ...{ day, time: '', kg, lot: null, pen: null, unsure: false, notCounted: null },
    ...UNKNOWN_CONDITION,
    source: 'list',
    weighing: { atMs: Date.parse(day), kg, ...UNKNOWN_CONDITION },
  };
}

/** Newest first: each with the gain since the sure weight before it, a day or more earlier. */
function withGains(all: Seen[]): PastWeight[] {
  return all.map(({ weighing, ...shown }, i) => {
    const now = { weighing, ...shown };
    const gains = all.slice(i + 1).map((then) => gainSince(then, now));
    return { ...shown, gain: gains.find((gain) => gain !== null) ?? null };
  });
}

/** A list knows the day alone: what is compared with it is taken as whole days apart. */
function gainSince(then: Seen, now: Seen): PastWeight['gain'] {
  if (then.weighing === null || now.weighing === null) return null;
  const byDay = then.source === 'list' || now.source === 'list';
  const atOf = (one: Seen, atMs: number): number => (byDay ? Date.parse(one.day) : atMs);
  const from = { ...then.weighing, atMs: atOf(then, then.weighing.atMs) };
  const to = { ...now.weighing, atMs: atOf(now, now.weighing.atMs) };
  if (from.atMs > to.atMs - DAY_MS) return null;
  const { gramsADay, uncertainty, widened } = dailyGain(from, to);
  return { gramsADay, uncertainty, widened };
}
