import type { SessionShown } from '../../adapters/session.ts';
import { exitName } from '../say.ts';
import { layout } from '../store.ts';
import { sessionWords as say } from '../words/session.ts';
import { Tap } from './fields.tsx';
import { order } from './state.ts';

/** `left 2` in the words of the page. */
export function penName(pen: string | null): string {
  if (pen === null) return say.nowhere;
  const found = /^(.*?)(?: (\d+))?$/.exec(pen);
  const name = exitName(found?.[1] ?? pen);
  return found?.[2] === undefined ? name : `${name} ${found[2]}`;
}

/** Head per lot and per pen; the pen that is full is shut, or run through again. */
export function Pens({ shown }: { shown: SessionShown }) {
  return (
    <section>
      <h2>{say.pens}</h2>
      <p data-testid="session-head">{say.head(shown.head)}</p>
      <ul>
        {Object.entries(shown.perLot).map(([lot, head]) => (
          <li key={lot}>
            <b>{lot === '' ? say.noLot : lot}</b> {say.head(head)}
          </li>
        ))}
      </ul>
      <ul>
        {shown.pens.map(({ pen, head, open }) => (
          <li key={pen ?? ''} data-pen={pen ?? ''}>
            <b>{penName(pen)}</b> {say.head(head)} {open ? '' : say.shut}
            {pen === null ? null : (
              <Tap text={say.runAgain} tap={() => void order({ do: 'run-again', pen })} />
            )}
          </li>
        ))}
      </ul>
      <fieldset>
        <legend>{say.newPen}</legend>
        {(layout.value?.exits ?? []).map(({ exit }) => (
          <Tap
            key={exit}
            text={exitName(exit)}
            tap={() => void order({ do: 'new-pen', exit }, say.opened(exitName(exit)))}
          />
        ))}
      </fieldset>
    </section>
  );
}
