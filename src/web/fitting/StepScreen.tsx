import type { Ask } from '../../fitting/steps.ts';
import type { FittingView, ItemView, StepView } from '../../fitting/view.ts';
import { exitName } from '../say.ts';
import { fittingWords as words } from '../words/fitting.ts';
import { inputName } from './Lamps.tsx';
import { Panel } from './panels.tsx';
import { foundText, remedyOf } from './found.ts';
import { whenText } from './Report.tsx';
import { answer, say, says, shown } from './state.ts';
import { Figures, Mass, Words } from './Typed.tsx';
import { DirectionAsk, ExitAsk, TravelAsk } from './Moved.tsx';
import { TakeAsk, WatchAsk } from './Watched.tsx';

/** The words of an item; those of the new yard are the same. */
export function itemTitle({ what, about, ask }: ItemView): string {
  const found = words.items[what.replace(/^yard\./, '')];
  return found?.title(nameOf(ask, about)) ?? what;
}

function nameOf(ask: Ask, about: string | null): string {
  if (ask.kind === 'input') return inputName(ask.input);
  if (ask.kind === 'exit') return exitName(ask.exit);
  if (ask.kind !== 'direction') return about ?? '';
  return ask.end === 'extended' ? words.extend(ask.leaf) : words.retract(ask.leaf);
}

/** Which exit it should be is not said before a person has said which it is. */
function askedTitle(view: FittingView, item: ItemView): string {
  const { ask, standing } = item;
  const said = standing === 'done' || standing === 'wrong';
  if (ask.kind !== 'exit' || said) return itemTitle(item);
  return words.exitAsked(view.exits.indexOf(ask.exit) + 1);
}

export function StepScreen({ view, step }: { view: FittingView; step: StepView }) {
  const { title, how } = words.steps[step.id];
  const next = view.steps[view.steps.indexOf(step) + 1];
  const to = (where: typeof shown.value) => () => {
    says.value = null;
    shown.value = where;
  };
  return (
    <section class="step" data-testid="step" data-step-shown={step.id}>
      <h2>{title}</h2>
      <p>{how}</p>
      {step.safety ? <p class="needs">{words.safety}</p> : null}
      <Panel step={step.id} />
      {step.items.map((item) => (
        <ItemCard key={item.id} view={view} item={item} />
      ))}
      <p role="alert" class="said bad" data-testid="fit-says">
        {says.value}
      </p>
      {next === undefined ? null : (
        <button type="button" class="act" onClick={to(next.id)}>
          <b>{words.next}</b>
        </button>
      )}
      <button type="button" class="act" onClick={to(null)}>
        <b>{words.back}</b>
      </button>
    </section>
  );
}

const SHAPES = { done: '✓', wrong: '!', stale: '↻', open: '○' } as const;

function ItemCard({ view, item }: { view: FittingView; item: ItemView }) {
  const { standing, result } = item;
  const how = words.items[item.what.replace(/^yard\./, '')]?.how ?? '';
  return (
    <article class={`item ${standing}`} data-item={item.id} data-standing={standing}>
      <h3>{askedTitle(view, item)}</h3>
      <p class="stand">
        <i aria-hidden="true">{SHAPES[standing]}</i> <b>{words.standing[standing]}</b>
        {result === null ? null : (
          <span>
            {' '}
            {foundText(item)} ({words.by(result.who, whenText(result))})
          </span>
        )}
      </p>
      {standing === 'wrong' ? <p class="remedy">{remedyOf(item)}</p> : null}
      {standing === 'done' || standing === 'wrong' ? (
        <button
          type="button"
          class="small"
          onClick={() => void say({ do: 'again', item: item.id })}
        >
          {words.again}
        </button>
      ) : (
        <>
          {how === '' ? null : <p>{how}</p>}
          <Asked view={view} item={item} />
        </>
      )}
    </article>
  );
}

/** What to press or type, by the kind of item. */
function Asked({ view, item }: { view: FittingView; item: ItemView }) {
  const { ask } = item;
  switch (ask.kind) {
    case 'yes':
      return <YesNo item={item} />;
    case 'figure':
      return <Figures item={item} ask={ask} />;
    case 'mass':
      return <Mass item={item} ask={ask} />;
    case 'words':
      return <Words item={item} />;
    case 'input':
    case 'quiet':
    case 'stopped':
    case 'drop-out':
      return <WatchAsk view={view} item={item} />;
    case 'readings':
    case 'zero':
    case 'reboots':
      return <TakeAsk item={item} />;
    case 'travel':
      return <TravelAsk item={item} leaf={ask.leaf} />;
    case 'direction':
      return <DirectionAsk item={item} leaf={ask.leaf} end={ask.end} />;
    case 'exit':
      return <ExitAsk view={view} item={item} ends={ask.ends} />;
  }
}

function YesNo({ item }: { item: ItemView }) {
  return (
    <div class="pair">
      <button type="button" class="act" onClick={() => void answer(item, true)}>
        <b>{words.yes}</b>
      </button>
      <button type="button" class="act" onClick={() => void answer(item, false)}>
        <b>{words.no}</b>
      </button>
    </div>
  );
}
