/** Times of a trace as people read them. */
import type { Trace } from './state.ts';

/** By the clock of the site where the trace knows when it began, else from its beginning. */
export function timeText(
  { startedAt, zone }: Pick<Trace, 'startedAt' | 'zone'>,
  t: number,
): string {
  if (startedAt === null) return new Date(t).toISOString().slice(11, 19);
  const asked = { timeZone: zone, timeStyle: 'medium', hourCycle: 'h23' } as const;
  return new Intl.DateTimeFormat('en-GB', asked).format(Date.parse(startedAt) + t);
}

/** With a tenth of a second, for a single moment. */
export function momentText(trace: Pick<Trace, 'startedAt' | 'zone'>, t: number): string {
  const beganMs = trace.startedAt === null ? 0 : Date.parse(trace.startedAt) % 1000;
  return `${timeText(trace, t)}.${String(Math.floor(((beganMs + t) % 1000) / 100))}`;
}

/** Day and time of its beginning. */
export function whenText({ zone }: Pick<Trace, 'zone'>, startedAt: string): string {
  const asked = { timeZone: zone, dateStyle: 'medium', timeStyle: 'short' } as const;
  return new Intl.DateTimeFormat('en-GB', asked).format(Date.parse(startedAt));
}
