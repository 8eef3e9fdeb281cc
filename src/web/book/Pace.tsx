import { useMemo } from 'preact/hooks';
import type { Evening } from '../../adapters/evening.ts';
import { faultTexts } from '../store.ts';
import { bookWords as words } from '../words/book.ts';
import { Chart, Table, type Drawn } from './Chart.tsx';
import { clockText } from './say.ts';

const QUARTER_S = 900;

export function Pace({ evening }: { evening: Evening }) {
  const { pace, zone } = evening;
  const drawn = useMemo(
    (): Drawn => ({
      title: words.pace.chart,
      kind: 'bars',
      x: pace.quarters.map(({ atMs }) => atMs / 1000 + QUARTER_S / 2),
      y: pace.quarters.map(({ head }) => head),
      say: (seconds) => clockText(seconds * 1000, zone),
      steps: [900, 1800, 3600, 7200, 14_400, 28_800],
    }),
    [pace, zone],
  );
  return (
    <section>
      <h2>{words.pace.title}</h2>
      <p class="figure">
        <b>
          {pace.anHour === null ? words.pace.tooShort : words.pace.anHour(Math.round(pace.anHour))}
        </b>
        <span>{words.pace.sorting(Math.round(pace.sortingMinutes), Math.round(pace.minutes))}</span>
      </p>
      <Chart drawn={drawn}>
        <Table
          heads={[words.pace.time, words.pace.animals]}
          rows={pace.quarters.map(({ atMs, head }) => [clockText(atMs, zone), head])}
        />
      </Chart>
      <h3>{words.pace.stops}</h3>
      {pace.stops.length === 0 ? <p>{words.pace.noStops}</p> : null}
      <ul class="who-list">
        {pace.stops.map(({ time, minutes, why }, i) => (
          <li key={i}>
            <b>{time}</b> <span>{words.pace.minutes(minutes.toFixed(1))}</span> <span>{why}</span>
          </li>
        ))}
      </ul>
      {pace.faults.length === 0 ? null : (
        <>
          <h3>{words.pace.faults}</h3>
          <ul class="who-list">
            {pace.faults.map(({ fault, times, first }) => (
              <li key={fault}>
                <b>{faultTexts.value[fault]?.what ?? fault}</b>{' '}
                <span>{words.pace.times(times, first)}</span>
              </li>
            ))}
          </ul>
        </>
      )}
      {pace.battery.length === 0 ? null : (
        <>
          <h3>{words.pace.battery}</h3>
          <Table
            heads={[words.pace.time, words.pace.restVolts, words.pace.movingVolts]}
            rows={pace.battery.map(({ time, restVolts, movingVolts }) => [
              time,
              restVolts.toFixed(2),
              movingVolts === null ? '–' : movingVolts.toFixed(2),
            ])}
          />
        </>
      )}
    </section>
  );
}
