import { useRef } from 'preact/hooks';
import type { Plan } from '../../core/sortplan/plan.ts';
import { planWords } from '../words/plan.ts';
import { bandLots, classes, cutsOf, headIn, withCut, type Cut } from './bands.ts';
import { change } from './state.ts';

const WIDE = 340;
const HIGH = 246;
/** The handles lie below the bars, large enough for a thumb. */
const BASE = 140;
const HANDLE = 30;
/** What a thumb may miss it by, units of the drawing. */
const AROUND = 8;
/** Every second handle lies lower, so that two near cuts can both be taken hold of. */
const LOWER = 38;

interface Scale {
  least: number;
  perKg: number;
}

function scaleOf(plan: Plan, weights: readonly number[]): Scale {
  const cuts = cutsOf(plan).map(({ kg }) => kg);
  const least = Math.floor(Math.min(...weights, ...cuts)) - 2;
  const most = Math.ceil(Math.max(...weights, ...cuts)) + 2;
  return { least, perKg: WIDE / (most - least) };
}

const x = (scale: Scale, kg: number): number => (kg - scale.least) * scale.perKg;

/** Draws the cut, and moves it under a thumb or with the arrow keys. */
function Handle({ plan, cut, scale, low }: { plan: Plan; cut: Cut; scale: Scale; low: boolean }) {
  const grip = useRef<SVGGElement>(null);
  const to = (event: PointerEvent): void => {
    const svg = grip.current?.ownerSVGElement;
    if (svg === null || svg === undefined) return;
    const box = svg.getBoundingClientRect();
    const at = ((event.clientX - box.left) / box.width) * WIDE;
    change(withCut(plan, cut.lot, scale.least + at / scale.perKg));
  };
  const at = x(scale, cut.kg);
  const y = BASE + HANDLE + (low ? LOWER : 0);
  return (
    <g
      ref={grip}
      class="cut"
      role="slider"
      tabIndex={0}
      aria-label={planWords.cut(cut.lighter, cut.heavier)}
      aria-valuenow={cut.kg}
      aria-valuemin={plan.animals.fromKg}
      aria-valuemax={plan.animals.toKg}
      aria-valuetext={`${cut.kg.toFixed(1)} kg`}
      onPointerDown={(event) => {
        event.currentTarget.setPointerCapture(event.pointerId);
        to(event);
      }}
      onPointerMove={(event) => {
        if (event.currentTarget.hasPointerCapture(event.pointerId)) to(event);
      }}
      onKeyDown={(event) => {
        const by = { ArrowLeft: -0.5, ArrowRight: 0.5, ArrowDown: -0.1, ArrowUp: 0.1 }[event.key];
        if (by === undefined) return;
        event.preventDefault();
        change(withCut(plan, cut.lot, cut.kg + by));
      }}
    >
      <circle class="around" cx={at} cy={y} r={HANDLE + AROUND} />
      <line x1={at} x2={at} y1="18" y2={y} />
      <circle cx={at} cy={y} r={HANDLE} />
      <text x={at} y={y + 6}>
        {cut.kg.toFixed(1)}
      </text>
    </g>
  );
}

/** The weights of a session, the plan's cuts over them to be dragged, and head per lot beneath. */
export function Histogram({ plan, weights }: { plan: Plan; weights: readonly number[] }) {
  const scale = scaleOf(plan, weights);
  const bars = classes(weights);
  const most = Math.max(1, ...bars.map(({ head }) => head));
  const head = headIn(plan, weights);
  return (
    <figure class="histogram">
      <svg
        viewBox={`0 0 ${String(WIDE)} ${String(HIGH)}`}
        role="group"
        aria-label={planWords.histogram(weights.length)}
      >
        {bars.map((bar) => {
          const high = (bar.head / most) * (BASE - 22);
          return (
            <rect
              class="bar"
              key={bar.fromKg}
              x={x(scale, bar.fromKg) + 0.5}
              y={BASE - high}
              width={Math.max(1, scale.perKg - 1)}
              height={high}
            />
          );
        })}
        <line class="base" x1="0" x2={WIDE} y1={BASE} y2={BASE} />
        {cutsOf(plan).map((cut, at) => (
          <Handle key={cut.lot} plan={plan} cut={cut} scale={scale} low={at % 2 === 1} />
        ))}
      </svg>
      <ul class="heads" data-testid="heads" aria-live="polite">
        {bandLots(plan).map(({ lot, at }, place) => (
          <li key={at}>
            <i class={`pattern pattern-${String(at % 6)}`} aria-hidden="true" />
            <b>{lot.name}</b> <span>{planWords.head(head[place] ?? 0)}</span>
          </li>
        ))}
      </ul>
    </figure>
  );
}
