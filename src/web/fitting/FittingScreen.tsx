import { useEffect } from 'preact/hooks';
import type { FittingView, StepView } from '../../fitting/view.ts';
import { me, sheet } from '../store.ts';
import { fittingWords as say } from '../words/fitting.ts';
import { words } from '../words/en.ts';
import { Lamps } from './Lamps.tsx';
import { Report, whenText } from './Report.tsx';
import { NewYard, Sign } from './Sign.tsx';
import { StepScreen } from './StepScreen.tsx';
import { keepLooking, refresh, says, setWho, shown, view, who } from './state.ts';
import './fitting.css';

/** The place Fitting: ten steps that can be left and taken up again, for the installer. */
export function FittingScreen() {
  const { role } = me.value;
  useEffect(() => {
    if (role === null) return undefined;
    void refresh();
    return role === 'installer' ? keepLooking() : undefined;
  }, [role]);
  useEffect(() => {
    document.querySelector('.scroll')?.scrollTo(0, 0);
  }, [shown.value]);
  if (role !== 'installer') return <Closed />;
  const now = view.value;
  if (now === null) {
    return (
      <main class="fitting">
        <h1>{say.title}</h1>
        <p>{words.noFigure}</p>
      </main>
    );
  }
  const step = now.steps.find(({ id }) => id === shown.value);
  return (
    <main class="fitting">
      <h1>{say.title}</h1>
      <p class="caution">{say.caution}</p>
      {step === undefined ? null : <StepScreen view={now} step={step} key={step.id} />}
      {shown.value === 'lamps' ? <Lamps leaves={now.leaves} /> : null}
      {shown.value === 'report' ? <Report view={now} /> : null}
      {shown.value === null ? <Overview view={now} /> : null}
    </main>
  );
}

function Closed() {
  return (
    <main class="fitting">
      <h1>{say.title}</h1>
      <p>{say.installer}</p>
      <button
        type="button"
        class="act"
        onClick={() => {
          sheet.value = 'sign-in';
        }}
      >
        <b>{words.signIn}</b>
      </button>
    </main>
  );
}

/** What stands of a step, in a word and a shape. */
function mark(step: StepView): { name: string; shape: string } {
  if (step.done) return { name: say.doneAll, shape: '✓' };
  const wrong = step.items.some(({ standing }) => standing === 'wrong');
  const open = step.items.filter(({ standing }) => standing !== 'done').length;
  return { name: say.openCount(open), shape: wrong ? '!' : '○' };
}

function Overview({ view: now }: { view: FittingView }) {
  const { signed } = now;
  const open = (to: typeof shown.value) => () => {
    says.value = null;
    shown.value = to;
  };
  return (
    <>
      <p>{say.intro}</p>
      <p class="fit-state" data-testid="fit-start">
        <b>
          {!now.needed
            ? say.notNeeded
            : now.notFitted.length === 0
              ? say.startFree
              : say.startOpen(now.notFitted.join(', '))}
        </b>
        <span>
          {signed === null ? say.signedNot : say.signedBy(signed.who, whenText(signed))}
          {signed !== null && !signed.holds ? ` ${say.signedStale}` : ''}
        </span>
      </p>
      <label>
        {say.who}
        <input
          value={who.value}
          maxLength={60}
          autocomplete="name"
          onInput={(event) => {
            setWho(event.currentTarget.value);
          }}
        />
      </label>
      <ol class="steps">
        {now.steps.map((step) => {
          const { name, shape } = mark(step);
          return (
            <li key={step.id}>
              <button
                type="button"
                class={`act ${step.done ? 'done' : ''}`}
                data-step={step.id}
                onClick={open(step.id)}
              >
                <b>
                  <i aria-hidden="true">{shape}</i> {say.steps[step.id].title}
                </b>
                <span>{name}</span>
              </button>
            </li>
          );
        })}
      </ol>
      <button type="button" class="act" onClick={open('lamps')}>
        <b>{say.lamps}</b>
      </button>
      <button type="button" class="act" onClick={open('report')}>
        <b>{say.report}</b>
      </button>
      <Sign />
      <NewYard />
      <p role="alert" class="said bad" data-testid="fit-says">
        {says.value}
      </p>
    </>
  );
}
