import type { FaultOfDay } from '../../adapters/evening.ts';
import { faultTexts } from '../store.ts';
import { workshopWords as words } from '../words/workshop.ts';
import { pastFaults } from './state.ts';

function PastFault({ one }: { one: FaultOfDay }) {
  const text = faultTexts.value[one.fault];
  const when =
    one.times === 1 ? words.once(one.first) : words.times(one.times, one.first, one.last);
  return (
    <details class="past-fault" data-fault={one.fault}>
      <summary>
        <span>
          <b>{text?.what ?? one.fault}</b>
          <small>{when}</small>
        </span>
      </summary>
      {one.detail === null ? null : <p>{one.detail}</p>}
      {text === undefined ? null : (
        <dl>
          <dt>{words.cause}</dt>
          <dd>{text.cause}</dd>
          <dt>{words.remedy}</dt>
          <dd>{text.remedy}</dd>
        </dl>
      )}
    </details>
  );
}

/** Faults by day, newest first, each with what to do about it. */
export function PastFaults() {
  const all = pastFaults.value ?? [];
  // By the calendar, and not as written: a clock may have been put right between them.
  const days = [...new Set(all.map(({ day }) => day))].sort().reverse();
  return (
    <section>
      <h2>{words.faults}</h2>
      <p class="caution">{words.lockOff}</p>
      {all.length === 0 ? <p>{words.noFaults}</p> : null}
      {days.map((day) => (
        <div class="fault-day" key={day}>
          <h3>{dayText(day)}</h3>
          {all
            .filter((one) => one.day === day)
            .map((one) => (
              <PastFault key={one.fault} one={one} />
            ))}
        </div>
      ))}
    </section>
  );
}

function dayText(day: string): string {
  const asked = { timeZone: 'UTC', dateStyle: 'full' } as const;
  return new Intl.DateTimeFormat('en-GB', asked).format(Date.parse(day));
}
