import { useEffect } from 'preact/hooks';
import type { EveningSession } from '../../adapters/evening.ts';
import { bookWords as words } from '../words/book.ts';
import { Animals } from './Animals.tsx';
import './book.css';
import { Gains, Target } from './Gains.tsx';
import { GivenToday, InOut, Lots } from './Head.tsx';
import { History } from './History.tsx';
import { Keep } from './Keep.tsx';
import { Look } from './Look.tsx';
import { Pace } from './Pace.tsx';
import { dateText } from './say.ts';
import { choose, days, evening, farm, farms, open, standing } from './state.ts';

function DayPicker() {
  const shown = evening.value?.day ?? days.value[0]?.day ?? '';
  const whose = days.value.find(({ day }) => day === shown)?.farms ?? [];
  return (
    <div class="picker">
      <label class="ask">
        {words.day}
        <select
          value={shown}
          onChange={(event) => {
            choose({ day: event.currentTarget.value });
          }}
        >
          {days.value.map(({ day }) => (
            <option value={day} key={day}>
              {dateText(day)}
            </option>
          ))}
        </select>
      </label>
      {whose.length < 2 ? null : (
        <label class="ask">
          {words.farm}
          <select
            value={farm.value ?? '?'}
            onChange={(event) => {
              choose({ farm: event.currentTarget.value });
            }}
          >
            {farm.value === null ? <option value="?">–</option> : null}
            {whose.map((one) => (
              <option value={one} key={one}>
                {one === '' ? words.noFarm : one}
              </option>
            ))}
          </select>
        </label>
      )}
    </div>
  );
}

function Session({ session }: { session: EveningSession }) {
  const { mob, field, hoursOffFeed, fleece, who } = session;
  const hours = hoursOffFeed === null ? null : words.offFeed(hoursOffFeed);
  const said = [mob, field, hours, fleece, who].filter((one) => one !== null);
  return (
    <li>
      {words.session(session.time, session.plan ?? '–')}
      {said.length === 0 ? null : <small>{said.join(', ')}</small>}
    </li>
  );
}

function Told() {
  const found = evening.value;
  if (farms.value.length > 1) return <p class="caution">{words.chooseFarm}</p>;
  if (found === null)
    return <p role="status">{standing.value === 'reading' ? words.loading : words.none}</p>;
  return (
    <>
      <ul class="sessions">
        {found.sessions.map((session) => (
          <Session session={session} key={session.id} />
        ))}
      </ul>
      <Look evening={found} />
      <InOut evening={found} />
      <Lots evening={found} />
      <GivenToday evening={found} />
      <Gains evening={found} />
      <Target />
      <Pace evening={found} />
      <Animals />
      <History />
      <Keep evening={found} />
    </>
  );
}

/** The place Day book: the evening's first screen, and everything behind it. */
export function BookScreen() {
  useEffect(() => {
    void open();
  }, []);
  return (
    <main class="book">
      <h1>{words.title}</h1>
      <DayPicker />
      <Told />
    </main>
  );
}
