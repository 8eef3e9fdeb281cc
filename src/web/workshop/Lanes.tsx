import type { ComponentChildren } from 'preact';
import type { Span } from '../../adapters/page/workshop/spans.ts';
import type { AnimalState } from '../../adapters/page/workshop/trace-view.ts';
import { words as common } from '../words/en.ts';
import { workshopWords as words } from '../words/workshop.ts';
import type { Trace } from './state.ts';

const WIDE = 1000;
const STATES: readonly AnimalState[] = ['weighing', 'decided', 'not-sure', 'ready', 'leaving'];

/** Where a span lies in the strip. */
function placed([from, to]: Span, [begin, end]: Span): { x: number; width: number } {
  const scale = end > begin ? WIDE / (end - begin) : 0;
  // The shortest is still seen.
  return { x: (from - begin) * scale, width: Math.max(2, (to - from) * scale) };
}

function Lane(props: { name: string; note?: string; children: ComponentChildren }) {
  return (
    <div class="lane-row">
      <span>
        {props.name}
        {props.note === undefined ? null : <small> {props.note}</small>}
      </span>
      <svg viewBox={`0 0 ${String(WIDE)} 16`} preserveAspectRatio="none" aria-hidden="true">
        {props.children}
      </svg>
    </div>
  );
}

/** What each state of an animal looks like, without colour. */
function Patterns() {
  return (
    <svg class="patterns" aria-hidden="true">
      <defs>
        <pattern id="state-decided" width="10" height="10" patternUnits="userSpaceOnUse">
          <path d="M0 10 10 0" />
        </pattern>
        <pattern id="state-not-sure" width="12" height="8" patternUnits="userSpaceOnUse">
          <path d="M0 0 12 8M0 8 12 0" />
        </pattern>
        <pattern id="state-leaving" width="8" height="8" patternUnits="userSpaceOnUse">
          <circle cx="4" cy="4" r="1.6" />
        </pattern>
      </defs>
    </svg>
  );
}

function Legend() {
  return (
    <ul class="legend">
      {STATES.map((state) => (
        <li key={state}>
          <svg viewBox="0 0 40 16" aria-hidden="true">
            <rect class={`state-${state}`} x="1" y="1" width="38" height="14" />
          </svg>
          {words.state[state]}
        </li>
      ))}
    </ul>
  );
}

/** Under the chart, on its time: mode, animal, contacts, outputs, links. */
export function Lanes({ shown }: { shown: Trace }) {
  return (
    <div class="lanes-of-trace">
      <Patterns />
      <Lane name={words.modeLine}>
        {shown.modes.map(({ mode, span }) => (
          <rect
            key={span[0]}
            class={`mode-${mode}`}
            y="1"
            height="14"
            {...placed(span, shown.window)}
          >
            <title>{common.mode[mode]}</title>
          </rect>
        ))}
      </Lane>
      <Lane name={words.animalLine}>
        {shown.bands.map(({ state, span }) => (
          <rect
            key={span[0]}
            class={`state-${state}`}
            y="1"
            height="14"
            {...placed(span, shown.window)}
          />
        ))}
      </Lane>
      <Legend />
      {shown.lines.map(({ name, kind, spans, joined }) => (
        <Lane
          key={`${kind} ${name}`}
          name={`${words.kinds[kind]} ${name}`}
          {...(joined ? { note: words.joined } : {})}
        >
          {spans.map((span) => (
            <rect
              key={span[0]}
              class={`line-${kind}`}
              y="3"
              height="10"
              {...placed(span, shown.window)}
            />
          ))}
        </Lane>
      ))}
    </div>
  );
}
