/** What stood how at one moment of a trace. */
import type { Span } from '../../adapters/page/workshop/spans.ts';
import { words as common } from '../words/en.ts';
import { workshopWords as words } from '../words/workshop.ts';
import type { Trace } from './state.ts';

const within = ([from, to]: Span, t: number): boolean => t >= from && t <= to;

/** No reading nearer than this is none, ms. */
const NEAR_MS = 1000;

/** Weight nearest to `t` that is near enough, kg. */
export function kgAt({ weight }: Pick<Trace, 'weight'>, t: number): number | null {
  let best: number | null = null;
  let nearest = Math.max(NEAR_MS, weight.widthMs);
  for (const [i, at] of weight.t.entries()) {
    const far = Math.abs(at - t);
    if (far > nearest) continue;
    best = weight.high[i] ?? null;
    nearest = far;
  }
  return best;
}

/** In one line of words. */
export function at(shown: Trace, t: number): string {
  const kg = kgAt(shown, t);
  const mode = shown.modes.find(({ span }) => within(span, t));
  const band = shown.bands.find(({ span }) => within(span, t));
  const on = shown.lines
    .filter(({ spans }) => spans.some((span) => within(span, t)))
    .map(({ name }) => name);
  return [
    kg === null ? common.weight.none : `${kg.toFixed(1)} ${common.kg}`,
    ...(mode === undefined ? [] : [common.mode[mode.mode]]),
    band === undefined ? words.nobody : `${common.animal(band.animal)}, ${words.state[band.state]}`,
    words.on(on.length === 0 ? '–' : on.join(', ')),
  ].join(' · ');
}
