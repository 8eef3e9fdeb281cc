import type { Mark } from '../../adapters/page/workshop/marks.ts';
import { workshopWords as words } from '../words/workshop.ts';
import { momentText } from './say.ts';
import type { Trace } from './state.ts';

function Row({ mark, shown }: { mark: Mark; shown: Trace }) {
  return (
    <tr class={mark.kind === 'fault' ? 'bad' : ''}>
      <td>{momentText(shown, mark.t)}</td>
      <td>
        <b>{words.marks[mark.kind]}</b> {mark.text}
      </td>
      <td>{mark.animal}</td>
      <td>{mark.kg === null ? '' : mark.kg.toFixed(1)}</td>
    </tr>
  );
}

/** The same as the chart, for whoever reads figures or hears them. */
export function MarkTable({ shown }: { shown: Trace }) {
  const { time, what, animal, kg } = words.columns;
  return (
    <details open>
      <summary>{words.table}</summary>
      {shown.leftOut === 0 ? null : <p>{words.leftOut(shown.leftOut)}</p>}
      <div class="wide" tabIndex={0}>
        <table>
          <thead>
            <tr>
              {[time, what, animal, kg].map((head) => (
                <th scope="col" key={head}>
                  {head}
                </th>
              ))}
            </tr>
          </thead>
          <tbody>
            {shown.marks.map((mark, i) => (
              <Row key={i} mark={mark} shown={shown} />
            ))}
          </tbody>
        </table>
      </div>
    </details>
  );
}
