import type Database from 'better-sqlite3';
import type { FlockGain } from '../evening.ts';
import { RIGHT_TAG, VOID } from './corrected.ts';
import type { BookRow, BookSession, DayBook } from './day-book.ts';
import { averageable, counted } from './lots.ts';
import { ANIMALS } from './schema.ts';
import { summarise } from './statistics.ts';

/** A weight and what has a bearing on comparing it with another one of the same animal. */
export interface Weighing {
  atMs: number;
  kg: number;
  /** Half-width of the 95 % interval, kg; null where none was kept. */
  uncertaintyKg: number | null;
  hoursOffFeed: number | null;
  fleece: string | null;
}

/** What is not known of a weight from a list. */
export const UNKNOWN_CONDITION = { uncertaintyKg: null, hoursOffFeed: null, fleece: null };

export interface Gain {
  days: number;
  gramsADay: number;
  /** Half-width of the 95 % interval, g a day. */
  uncertainty: number;
  /** The part of it that other animals weighed on the same two occasions share, g a day. */
  shared: number;
  /** Why the interval is wider than the two weights alone would make it. */
  widened: string[];
}

const DAY_MS = 86_400_000;
/** Coverage factor of a 95 % interval (GUM, normal distribution). */
const K95 = 1.96;
/** Standard uncertainty where none was kept, kg: half a kilogram a weight. */
const UNKNOWN_KG = 0.5;
/** Lambs lose up to 2.4 kg in 8 h off feed (Semakula et al. 2021, Agriculture 11:150). */
const LOSS_KG_AN_HOUR = 0.3;
/** Gut fill comes to about 5 kg at the most (veterinary practice protocol). */
const GUT_FILL_KG = 5;
/** Water in a lamb's fleece for each step dry, damp, wet, kg: common practice, no source. */
const FLEECE_KG = 1;
const FLEECES = ['dry', 'damp', 'wet'];

/**
 * Daily liveweight gain between two weighings at least a day apart, (current - previous) / days.
 *
 * Its uncertainty combines that of both weights (GUM) with what differing hours off feed or fleece
 * may have done, taken as anywhere within its limits (rectangular, half-width / sqrt 3).
 */
export function dailyGain(previous: Weighing, current: Weighing): Gain {
  const days = (current.atMs - previous.atMs) / DAY_MS;
  const [gut, fleece] = [gutFillKg(previous, current), fleeceKg(previous, current)];
  const shared = (gut.kg ** 2 + fleece.kg ** 2) / 3;
  const variance = standard(previous) ** 2 + standard(current) ** 2 + shared;
  const halfWidth = (kg2: number): number => (1000 * K95 * Math.sqrt(kg2)) / days;
  return {
    days,
    gramsADay: (1000 * (current.kg - previous.kg)) / days,
    uncertainty: halfWidth(variance),
    shared: halfWidth(shared),
    widened: [gut.why, fleece.why].filter((why) => why !== null),
  };
}

function standard({ uncertaintyKg }: Weighing): number {
  return uncertaintyKg === null ? UNKNOWN_KG : uncertaintyKg / K95;
}

interface Widening {
  kg: number;
  why: string | null;
}

function gutFillKg(a: Weighing, b: Weighing): Widening {
  if (a.hoursOffFeed === null || b.hoursOffFeed === null) {
    const how = a.hoursOffFeed === b.hoursOffFeed ? 'not known' : 'known only once';
    return { kg: 8 * LOSS_KG_AN_HOUR, why: `hours off feed ${how}` };
  }
  if (a.hoursOffFeed === b.hoursOffFeed) return { kg: 0, why: null };
  const hours = Math.abs(a.hoursOffFeed - b.hoursOffFeed);
  const why = `${a.hoursOffFeed} h off feed then, ${b.hoursOffFeed} h now`;
  return { kg: Math.min(hours * LOSS_KG_AN_HOUR, GUT_FILL_KG), why };
}

function fleeceKg(a: Weighing, b: Weighing): Widening {
  if (a.fleece === null || b.fleece === null) {
    const how = a.fleece === b.fleece ? 'not known' : 'known only once';
    return { kg: FLEECE_KG, why: `fleece ${how}` };
  }
  if (a.fleece === b.fleece) return { kg: 0, why: null };
  const steps = Math.abs(FLEECES.indexOf(a.fleece) - FLEECES.indexOf(b.fleece));
  return { kg: steps * FLEECE_KG, why: `fleece ${a.fleece} then, ${b.fleece} now` };
}

/** One animal's gain since its last sure weight, at least a day before. */
export interface AnimalGain {
  tag: string;
  row: BookRow;
  /** The weight that it is reckoned from, its day, and whether it is from a list. */
  from: { kg: number; day: string; list: boolean };
  gain: Gain;
}

/** Gains of every tagged animal of the day that counts and was weighed before on the same farm. */
export function dayGains(db: Database.Database, book: DayBook): AnimalGain[] {
  const before = previousWeighing(db);
  const sessions = new Map(book.sessions.map((session) => [session.id, session]));
  return counted(book).flatMap((row) => {
    const session = sessions.get(row.session);
    const kg = averageable(book, row);
    if (row.tag === null || kg === null || session === undefined) return [];
    const previous = before(row.tag, row, session.farm);
    if (previous === null) return [];
    const gain = dailyGain(previous, weighing(row, kg, session));
    return [
      {
        tag: row.tag,
        row,
        from: { kg: previous.kg, day: previous.day, list: previous.list },
        gain,
      },
    ];
  });
}

type Before = Weighing & { day: string; list: boolean };

/** The last sure weight before a crossing on the same farm: of a crossing, or from a list. */
function previousWeighing(
  db: Database.Database,
): (tag: string, row: BookRow, farm: string | null) => Before | null {
  const crossing = db.prepare(before('SELECT crossing FROM seen WHERE tag = @tag'));
  const named = db.prepare(before('SELECT value AS crossing FROM json_each(@put)'));
  const listed = db.prepare(LISTED);
  const given = givenTags(db);
  return (tag, { session: id, animal, atMs, day }, farm) => {
    const asked = { tag, id, animal, until: atMs - DAY_MS, farm };
    const read = crossing.get(asked) as Weighed | undefined;
    const put = given.get(tag) ?? [];
    const said = put.length === 0 ? undefined : named.get({ ...asked, put: JSON.stringify(put) });
    const weighed = later(read, said as Weighed | undefined);
    const list = listed.get({ tag, farm, day }) as { day: string; kg: number } | undefined;
    if (list === undefined || (weighed !== undefined && weighed.day >= list.day)) {
      if (weighed === undefined) return null;
      return { ...weighed, list: false };
    }
    // A list knows the day alone: taken as the same hour, as many days ago.
    const days = Math.round((Date.parse(day) - Date.parse(list.day)) / DAY_MS);
    return { ...list, ...UNKNOWN_CONDITION, atMs: atMs - days * DAY_MS, list: true };
  };
}

type Weighed = Omit<Before, 'list'> & { id: number };

function later(one: Weighed | undefined, other: Weighed | undefined): Weighed | undefined {
  if (one === undefined || other === undefined) return one ?? other;
  return one.id > other.id ? one : other;
}

/** Crossings by a tag that a person gave them. */
function givenTags(db: Database.Database): Map<string, number[]> {
  const found = new Map<string, number[]>();
  for (const { tag, crossing } of db.prepare(GIVEN_TAGS).all() as GivenTag[]) {
    found.set(tag, [...(found.get(tag) ?? []), crossing]);
  }
  return found;
}

interface GivenTag {
  tag: string;
  crossing: number;
}

const GIVEN_TAGS = `
  SELECT DISTINCT json_extract(k.value, '$') AS tag, k.crossing FROM correction k
  WHERE k.kind = 'tag' AND k.value LIKE '"%'`;

const LISTED = `
  SELECT day, kg FROM earlier_weight WHERE tag = @tag AND farm = coalesce(@farm, '') AND day < @day
  ORDER BY day DESC LIMIT 1`;

/**
 * Mean gain of the animals, and what is known of it: what each weight adds averages out, what they
 * share does not (the largest of them is taken). Null for none.
 */
export function flockGain(gains: readonly AnimalGain[]): FlockGain | null {
  const all = summarise(gains.map(({ gain }) => gain.gramsADay));
  if (all === null) return null;
  const own = gains.map(({ gain }) => gain.uncertainty ** 2 - gain.shared ** 2);
  const mean2 = own.reduce((sum, each) => sum + each, 0) / all.count ** 2;
  const shared = gains.reduce((most, { gain }) => Math.max(most, gain.shared), 0);
  return {
    head: all.count,
    gramsADay: all.mean,
    uncertainty: Math.sqrt(mean2 + shared ** 2),
    sd: all.sd,
    widened: [...new Set(gains.flatMap(({ gain }) => gain.widened))],
  };
}

// The last word of a crossing counts: whether it does, and whose weight it was. In the order of
// writing, newest first, so that the search ends at the first that will do.
const before = (crossings: string): string => `
  SELECT c.id, c.at_ms AS atMs, c.day, c.recorded_kg AS kg, c.uncertainty_kg AS uncertaintyKg,
    s.hours_off_feed AS hoursOffFeed, s.fleece
  FROM (${crossings}) was JOIN crossing c ON c.id = was.crossing JOIN session s ON s.n = c.session
  WHERE was.crossing < (SELECT n FROM session WHERE id = @id) * ${ANIMALS} + @animal
    AND c.at_ms <= @until AND s.farm IS @farm
    AND c.unsure = 0 AND c.recorded_kg IS NOT NULL AND c.clock_set > 0
    AND ${RIGHT_TAG} = @tag AND NOT ${VOID}
  ORDER BY was.crossing DESC LIMIT 1`;

function weighing(
  row: { atMs: number; uncertaintyKg: number | null },
  kg: number,
  { hoursOffFeed, fleece }: BookSession,
): Weighing {
  return { atMs: row.atMs, kg, uncertaintyKg: row.uncertaintyKg, hoursOffFeed, fleece };
}
