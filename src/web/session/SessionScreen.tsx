import type { SessionShown } from '../../adapters/session.ts';
import { words } from '../words/en.ts';
import { sessionWords as say } from '../words/session.ts';
import { Animals, CameAgain } from './Animals.tsx';
import { Described } from './Described.tsx';
import { Tap } from './fields.tsx';
import { Given } from './Given.tsx';
import { Pens } from './Pens.tsx';
import { order, says, session } from './state.ts';
import './session.css';

/** What was found when Fank started again: it is not known whether the day's work goes on. */
function Choose({ shown }: { shown: SessionShown }) {
  if (!shown.choose) return null;
  return (
    <section class="asks" role="alert" data-testid="choose">
      <p>{say.choose(shown.begun ?? words.noFigure, shown.words.mob, shown.head)}</p>
      <Tap big text={say.carryOn} tap={() => void order({ do: 'carry-on' })} />
      <p>{say.orAnother}</p>
    </section>
  );
}

function Clock({ shown }: { shown: SessionShown }) {
  if (shown.clock.set) return null;
  const [day = '', time = ''] = shown.clock.local.split('T');
  return (
    <section class="asks" role="alert" data-testid="clock">
      <p>{say.clockUnset(`${day} ${time.slice(0, 5)}`)}</p>
      <Tap
        big
        text={say.clockByPhone}
        tap={() => void order({ do: 'clock', wallMs: Date.now() }, say.clockSet)}
      />
    </section>
  );
}

/** The place Session: whose animals they are, where they went, what is put right, what is given. */
export function SessionScreen() {
  const shown = session.value;
  return (
    <main class="session">
      <h1>{say.title}</h1>
      <p role="status" class={`said ${says.value?.bad === true ? 'bad' : ''}`}>
        {says.value?.text}
      </p>
      {shown === null ? (
        <p>{words.noFigure}</p>
      ) : (
        <>
          <Choose shown={shown} />
          <Clock shown={shown} />
          <CameAgain shown={shown} />
          <Pens shown={shown} />
          <Animals shown={shown} />
          <Described key={shown.id} shown={shown} />
          <Given shown={shown} />
        </>
      )}
    </main>
  );
}
