/** The day's work wired to the loop, the records and what is known of tags. */
import type { Records, RecordsReady } from './adapters/records/port.ts';
import { refreshMedicine, type Changing, type Knowledge, type SessionFacts } from './knowledge.ts';
import type { Loop, LoopClock, LoopRecords } from './loop.ts';
import { Workday, type WorkdayOptions } from './workday.ts';

/** What the session adds to what is known of a tag; nothing before the day book is open. */
export function sessionFacts(day: Workday | null): SessionFacts {
  if (day === null) return { farm: null, mob: null, treatments: [] };
  const { farm, mob } = day.words;
  return { farm, mob, treatments: day.treatments() };
}

/** What a step says, with what only the day knows: its session's row, and the dose that was shown. */
export function keepBy(records: Records, day: () => Workday | null): LoopRecords {
  return {
    ...records,
    // Before its first start a session has no row: nothing can belong to it.
    event: (t, event, _session, wall) => {
      records.event(t, event, day()?.begun ?? null, wall);
    },
    crossing: (crossing, session, final, wall) => {
      records.crossing(crossing, session, final, wall, day()?.medicine.doseOf(crossing));
    },
  };
}

/** Opens it; what it changes about withdrawal goes into the plan in use. */
export function openWorkday(
  given: Pick<WorkdayOptions, 'localTime' | 'newId'> & {
    loop: Loop;
    clock: LoopClock;
    records: Records;
    knowledge: Knowledge;
    ready: RecordsReady;
    changes: Changing;
  },
): Workday {
  const { loop, records, knowledge, ready, changes, clock, localTime, newId } = given;
  const day = new Workday({
    ...{ loop, records, ready, clock, localTime, newId },
    planNow: () => knowledge.kept(),
    later: queueMicrotask,
    onMedicine: () => {
      refreshMedicine(changes);
    },
  });
  loop.onEvents(day.follow);
  return day;
}
