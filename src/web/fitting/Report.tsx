import type { FittingView, ItemView } from '../../fitting/view.ts';
import { fittingWords as words } from '../words/fitting.ts';
import { words as common } from '../words/en.ts';
import { foundText, limitText } from './found.ts';
import { itemTitle } from './StepScreen.tsx';
import { shown } from './state.ts';

/** When something was said, by the phone's own way of writing it. */
export function whenText({ atMs, clockSet }: { atMs: number; clockSet: boolean }): string {
  const when = new Date(atMs).toLocaleString(common.lang, {
    dateStyle: 'short',
    timeStyle: 'short',
  });
  return clockSet ? when : `${when} (${words.clockUnset})`;
}

function Row({ item }: { item: ItemView }) {
  const { result, standing } = item;
  return (
    <tr class={standing}>
      <th scope="row">
        {itemTitle(item)} <small>{limitText(item.ask)}</small>
      </th>
      <td>
        {result === null ? '' : foundText(item)} <b>{words.standing[standing]}</b>
        {result === null ? null : <small> {words.by(result.who, whenText(result))}</small>}
      </td>
    </tr>
  );
}

/** All figures, who, when, and what was not done: to be printed. */
export function Report({ view }: { view: FittingView }) {
  const open = view.steps.flatMap(({ items }) =>
    items.filter(({ standing }) => standing !== 'done'),
  );
  const { signed, yard } = view;
  return (
    <section class="report" data-testid="report">
      <h2>
        {words.title}: {words.report}
      </h2>
      {yard === null ? null : (
        <p>
          {words.newYard}: {yard.place} ({yard.who})
        </p>
      )}
      <p>{words.fitted(view.profiles)}</p>
      <p>
        <b>
          {view.notFitted.length === 0
            ? words.startFree
            : words.startOpen(view.notFitted.join(', '))}
        </b>
      </p>
      {view.steps.map((step) => (
        <table key={step.id}>
          <caption>{words.steps[step.id].title}</caption>
          <tbody>
            {step.items.map((item) => (
              <Row key={item.id} item={item} />
            ))}
          </tbody>
        </table>
      ))}
      <h3>{words.notDone}</h3>
      {open.length === 0 ? <p>{words.nothingOpen}</p> : null}
      <ul>
        {open.map((item) => (
          <li key={item.id}>{itemTitle(item)}</li>
        ))}
      </ul>
      <p>
        {signed === null ? words.signedNot : words.signedBy(signed.who, whenText(signed))}
        {signed !== null && !signed.holds ? ` ${words.signedStale}` : ''}
      </p>
      {signed === null ? null : (
        <p>
          <small>
            {signed.marks.gate.slice(0, 12)} {signed.marks.inputs.slice(0, 12)}
          </small>
        </p>
      )}
      <p class="line">{words.signature}</p>
      <p>
        <small>{words.caution}</small>
      </p>
      <button type="button" class="act" onClick={() => print()}>
        <b>{words.print}</b>
      </button>
      <button
        type="button"
        class="act"
        onClick={() => {
          shown.value = null;
        }}
      >
        <b>{words.back}</b>
      </button>
    </section>
  );
}
