import type { BookRow, BookSession, DayBook } from './day-book.ts';

/**
 * The day as one `icarWeightEventCollection` (ICAR Animal Data Exchange, ADE-1): one weight event
 * for each animal that counts and was weighed.
 *
 * An animal whose tag was read is named by it (`std.iso.11785`). One without is named by its
 * crossing, under a scheme that belongs to this day book alone: that names this weighing and
 * claims nothing about which animal it was.
 *
 * @param nowMs when it is made, UTC ms
 */
export function bookIcar(book: DayBook, nowMs: number): object {
  const weighed = book.rows.filter((row) => row.notCounted === null && (row.recordedKg ?? -1) >= 0);
  return {
    view: { totalItems: weighed.length, totalPages: 1, currentPage: 1 },
    member: weighed.map((row) => weightEvent(book, row, nowMs)),
  };
}

/** Reverse domain form, as the standard asks; a site has no domain of its own, so `local`. */
export function crossingScheme(siteId: string): string {
  return `local.fank.${siteId}.crossing`;
}

function weightEvent(book: DayBook, row: BookRow, nowMs: number): object {
  const session = book.sessions.find(({ id }) => id === row.session);
  const id = `${row.session}/${row.animal}`;
  const scheme = crossingScheme(book.siteId);
  const at = new Date(row.atMs).toISOString();
  // The standard asks for it; what a clock that was not set said would be false.
  const modified = row.clock === 'unset' ? new Date(nowMs).toISOString() : at;
  const remark = remarkOf(row);
  const division = session?.divisionKg ?? null;
  const hours = session?.hoursOffFeed ?? null;
  return {
    resourceType: 'icarWeightEventResource',
    id,
    meta: { source: `local.fank.${book.siteId}`, sourceId: id, modified },
    // A time by a clock that was not set would be a false statement; the field may be left out.
    ...(row.clock === 'unset' ? {} : { eventDateTime: at }),
    ...place(session),
    animal: row.tag === null ? { id, scheme } : { id: row.tag, scheme: 'std.iso.11785' },
    weight: {
      measurement: row.recordedKg,
      units: 'KGM',
      method: 'LoadCell',
      ...(division === null ? {} : { resolution: division }),
    },
    ...(hours === null ? {} : { timeOffFeed: hours }),
    ...(remark === '' ? {} : { remark }),
  };
}

function place(session: BookSession | undefined): object {
  const id = session?.holding ?? null;
  return id === null ? {} : { location: { id, scheme: 'local.holding' } };
}

function remarkOf(row: BookRow): string {
  return [
    row.unsure ? 'weight not sure' : '',
    row.uncertaintyKg === null ? '' : `95 % within ${row.uncertaintyKg} kg`,
    row.clock === 'unset' ? 'time unknown: the clock was not set' : '',
    ...row.flags,
  ]
    .filter((words) => words !== '')
    .join('; ');
}
