/** The days of a site, by the wall clock of its zone. */
export interface Days {
  /** `YYYY-MM-DD` of a UTC ms. */
  dayOf: (atMs: number) => string;
  /** `YYYY-MM-DDTHH:MM:SS` by the clock on the wall. */
  localTime: (atMs: number) => string;
}

/** Zones change their offset only at a whole quarter of an hour (IANA time zone database, since 1972). */
const QUARTER_MS = 900_000;

/**
 * @param zone IANA name, e.g. `Europe/London`.
 * @throws RangeError if the zone is unknown.
 */
export function daysOf(zone: string): Days {
  const known = made.get(zone) ?? makeDays(zone);
  made.set(zone, known);
  return known;
}

// Making one is slow, and every reading of a day asks.
const made = new Map<string, Days>();

function makeDays(zone: string): Days {
  const offsets = offsetsOf(zone);
  const local = (atMs: number): string =>
    new Date(atMs + offsets(Math.floor(atMs / QUARTER_MS))).toISOString().slice(0, 19);
  return { dayOf: (atMs) => local(atMs).slice(0, 10), localTime: local };
}

/** What local time is ahead of UTC, ms, for a quarter of an hour; asking the zone is slow, so once each. */
function offsetsOf(zone: string): (quarter: number) => number {
  const format = new Intl.DateTimeFormat('en-GB', {
    timeZone: zone,
    hourCycle: 'h23',
    year: 'numeric',
    month: 'numeric',
    day: 'numeric',
    hour: 'numeric',
    minute: 'numeric',
  });
  let known = { quarter: NaN, offset: 0 };
  return (quarter) => {
    if (known.quarter === quarter) return known.offset;
    const atMs = quarter * QUARTER_MS;
    const parts = format.formatToParts(atMs).map(({ type, value }) => [type, Number(value)]);
    const { year, month, day, hour, minute } = Object.fromEntries(parts) as Record<string, number>;
    const offset = Date.UTC(year ?? 0, (month ?? 0) - 1, day, hour, minute) - atMs;
    known = { quarter, offset };
    return offset;
  };
}
