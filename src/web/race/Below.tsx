import { exitName, kgText } from '../say.ts';
import { layout, race } from '../store.ts';
import { words } from '../words/en.ts';

/** The last animals let go. */
export function Last() {
  const now = race.value;
  const division = layout.value?.divisionKg ?? 0.1;
  return (
    <section class="last">
      <h2>{words.last}</h2>
      {now === null || now.last.length === 0 ? (
        <p>{words.noneYet}</p>
      ) : (
        <table>
          <thead>
            <tr>
              <th scope="col">{words.lastRow.animal}</th>
              <th scope="col">{words.lastRow.weight}</th>
              <th scope="col">{words.lastRow.lot}</th>
              <th scope="col">{words.lastRow.exit}</th>
            </tr>
          </thead>
          <tbody>
            {now.last.map((one) => (
              <tr key={one.animal}>
                <td>{one.animal}</td>
                <td>{one.kg === null ? words.noFigure : kgText(one.kg, division)}</td>
                <td>
                  {one.lot ?? words.noFigure}
                  {one.unsure ? ` (${words.notSure})` : ''}
                  {one.saved ? '' : ` (${words.notSaved})`}
                </td>
                <td>{one.exit === null ? words.noFigure : exitName(one.exit)}</td>
              </tr>
            ))}
          </tbody>
        </table>
      )}
    </section>
  );
}

/** Links and battery. */
export function Links() {
  const now = race.value;
  if (now === null) return null;
  return (
    <section class="links">
      <h2>{words.links}</h2>
      <ul>
        {Object.entries(now.links).map(([name, up]) => (
          <li key={name} class={up ? 'up' : 'down'}>
            <svg viewBox="0 0 24 24" aria-hidden="true">
              <path d={up ? 'M4 13l5 6L20 5' : 'M5 5l14 14M19 5 5 19'} />
            </svg>
            <b>{words.link[name as keyof typeof words.link]}</b>
            <span>{up ? words.linkUp : words.linkDown}</span>
          </li>
        ))}
        {now.volts === null ? null : (
          <li class={now.batteryLow ? 'down' : 'up'}>
            <svg viewBox="0 0 24 24" aria-hidden="true">
              <path
                d={
                  now.batteryLow
                    ? 'M3 7h15v10H3zM18 10h3v4h-3'
                    : 'M3 7h15v10H3zM6 12h9M18 10h3v4h-3'
                }
              />
            </svg>
            <b>{words.battery}</b>
            <span>
              {words.volts(now.volts.toFixed(1))}
              {now.batteryLow ? ` ${words.batteryLow}` : ''}
            </span>
          </li>
        )}
      </ul>
    </section>
  );
}
