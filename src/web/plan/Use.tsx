import { me } from '../store.ts';
import { planWords } from '../words/plan.ts';
import {
  asksUse,
  begin,
  changed,
  edited,
  plans,
  problems,
  save,
  saying,
  whatWould,
} from './state.ts';

/** What the plan as it stands would have done with the session that is shown. */
function WhatWould() {
  const what = whatWould.value;
  if (what === null || problems.value.length > 0) return null;
  const moved = what.moves.reduce((sum, { head }) => sum + head, 0);
  return (
    <div class="what" data-testid="what-would">
      <p>
        {moved === 0 ? planWords.changeNone(what.animals) : planWords.change(moved, what.animals)}
      </p>
      <ul>
        {what.moves.map(({ from, to, head }) => (
          <li key={`${String(from)} ${String(to)}`}>
            {planWords.move(head, from ?? planWords.noLot, to ?? planWords.noLot)}
          </li>
        ))}
      </ul>
      <p class="hint">{planWords.byWeightAlone}</p>
    </div>
  );
}

/** Save, and use after having seen what would change. */
export function Use() {
  const now = edited.value;
  if (now === null) return null;
  const wrong = problems.value.length > 0;
  const used = now.name !== null && now.name === plans.value?.active;
  return (
    <fieldset class="card use">
      <legend>{planWords.check}</legend>
      <WhatWould />
      {me.value.role === null ? <p class="hint">{planWords.signInFirst}</p> : null}
      <p role="status" data-testid="plan-says">
        {saying.value === 'saved' && !changed.value ? planWords.saved : ''}
      </p>
      <div class="pair">
        <button
          type="button"
          class="small"
          disabled={!changed.value || wrong}
          onClick={() => void save(false)}
        >
          {planWords.save}
        </button>
        <button
          type="button"
          class="small"
          disabled={!changed.value || now.name === null}
          onClick={() => begin(now.name, JSON.parse(now.was) as typeof now.plan)}
        >
          {planWords.undo}
        </button>
      </div>
      {used && !changed.value ? null : (
        <button
          type="button"
          class="act"
          disabled={wrong}
          onClick={() => {
            if (asksUse.value) void save(true);
            else asksUse.value = true;
          }}
        >
          <b>
            {asksUse.value
              ? changed.value
                ? planWords.saveFirst
                : planWords.useNow
              : planWords.use}
          </b>
        </button>
      )}
    </fieldset>
  );
}
