import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { daysOf } from '../../../src/adapters/records/day.ts';

describe('days of a site', () => {
  it('follow the clock on the wall, over the change of the clocks', () => {
    const { localTime, dayOf } = daysOf('Europe/London');
    expect(localTime(Date.UTC(2026, 9, 25, 0, 59, 59))).toBe('2026-10-25T01:59:59');
    expect(localTime(Date.UTC(2026, 9, 25, 1, 0, 0))).toBe('2026-10-25T01:00:00');
    expect(dayOf(Date.UTC(2026, 5, 30, 23, 30))).toBe('2026-07-01');
  });

  it('are those of the zone database, in zones of odd offsets too', () => {
    const zone = fc.constantFrom(
      'UTC',
      'America/St_Johns',
      'Asia/Kathmandu',
      'Australia/Lord_Howe',
      'Pacific/Apia',
    );
    const since = Date.UTC(1973, 0, 1);
    fc.assert(
      fc.property(zone, fc.integer({ min: since, max: Date.UTC(2036, 0, 1) }), (timeZone, atMs) => {
        // Sweden writes dates as ISO 8601 does.
        const style = { timeZone, dateStyle: 'short', timeStyle: 'medium' } as const;
        const theirs = new Intl.DateTimeFormat('sv-SE', style).format(atMs).replace(' ', 'T');
        expect(daysOf(timeZone).localTime(atMs)).toBe(theirs);
      }),
    );
  });

  it('of an unknown zone are refused', () => {
    expect(() => daysOf('Europe/Nowhere')).toThrow(RangeError);
  });
});
