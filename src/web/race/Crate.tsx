import type { LiveNow, WeightState } from '../../adapters/page/messages.ts';
import { exitSaid, kgText, tagCode } from '../say.ts';
import { isLive, layout, race } from '../store.ts';
import { words } from '../words/en.ts';
import { Shape } from './Shape.tsx';

function going(now: LiveNow | null): string {
  if (now === null) return '';
  if (now.letGo !== null) return words.letGoTo(exitSaid(layout.value, now.letGo));
  const exit = now.animal === null ? null : (now.decision?.exit ?? null);
  return exit === null ? '' : words.goesTo(exitSaid(layout.value, exit));
}

/** The weigh crate: the weight as large as the phone allows, and how sure it is. */
export function Crate() {
  const now = isLive.value ? race.value : null;
  const division = layout.value?.divisionKg ?? 0.1;
  const state: WeightState = now?.weight.state ?? 'none';
  const kg = now !== null && state !== 'none' ? now.weight.kg : null;
  const text = kg === null ? words.noFigure : kgText(kg, division);
  const u95 = kg === null ? null : (now?.weight.u95Kg ?? null);
  const letGo = now?.letGo ?? null;
  const spray = now?.decision?.spray ?? null;
  return (
    <section class={`crate ${letGo === null ? '' : 'go'}`} data-state={state}>
      <p class={`kg size-${String(Math.min(6, Math.max(4, text.length)))}`} data-testid="kg">
        {text}
      </p>
      <p class="state">
        <Shape state={state} />
        <b data-testid="state">{words.weight[state]}</b>
        {u95 === null || state === 'empty' ? null : <span>{words.plusMinus(u95.toFixed(2))}</span>}
      </p>
      <p class="who" data-testid="who">
        {now === null || now.animal === null ? (
          words.noAnimal
        ) : (
          <>
            <span>{words.animal(now.animal.number)}</span>
            {now.animal.tag === null ? null : (
              <>
                <span>{words.tag(now.animal.tag.slice(-5))}</span>
                <small data-testid="tag-code">{tagCode(now.animal.tag)}</small>
              </>
            )}
            {now.doseMl === null ? null : (
              <b class="dose" data-testid="dose">
                {words.dose(now.doseMl)}
              </b>
            )}
          </>
        )}
      </p>
      {now?.animal?.held === null || now?.animal?.held === undefined ? null : (
        <p class="held" data-testid="held">
          {now.animal.held}
        </p>
      )}
      {spray === null ? null : (
        <p class="spray" data-testid="spray">
          {words.spray(spray)}
        </p>
      )}
      <p class={`going ${letGo === null ? '' : 'letgo'}`} role="status" data-testid="going">
        {going(now)}
      </p>
    </section>
  );
}
