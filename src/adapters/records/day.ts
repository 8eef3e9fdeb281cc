/** The days of a site, by the wall clock of its zone. */
export interface Days {
  /** `YYYY-MM-DD` of a UTC ms. */
  dayOf(atMs: number): string;
  /** `YYYY-MM-DDTHH:MM:SS` by the clock on the wall. */
  localTime(atMs: number): string;
}

/**
 * @param zone IANA name, e.g. `Europe/London`.
 * @throws RangeError if the zone is unknown.
 */
export function daysOf(zone: string): Days {
  const format = new Intl.DateTimeFormat('en-GB', {
    timeZone: zone,
    hourCycle: 'h23',
    year: 'numeric',
    month: '2-digit',
    day: '2-digit',
    hour: '2-digit',
    minute: '2-digit',
    second: '2-digit',
  });
  const parts = (atMs: number): Record<string, string> =>
    Object.fromEntries(format.formatToParts(atMs).map((part) => [part.type, part.value]));
  const date = (p: Record<string, string>): string =>
    `${(p.year ?? '').padStart(4, '0')}-${p.month ?? ''}-${p.day ?? ''}`;
  return {
    dayOf: (atMs) => date(parts(atMs)),
    localTime: (atMs) => {
      const p = parts(atMs);
      return `${date(p)}T${p.hour ?? ''}:${p.minute ?? ''}:${p.second ?? ''}`;
    },
  };
}
