import { command, control, faultTexts, isLive, race, takeOver } from '../store.ts';
import { words } from '../words/en.ts';

/** What Fank waits for from a person, each with its one button. */
export function Asks() {
  const asks = isLive.value ? (race.value?.asks ?? []) : [];
  if (asks.length === 0) return null;
  return (
    <section class="asks" role="alert">
      {asks.includes('unsure') ? <p data-testid="ask-unsure">{words.askUnsure}</p> : null}
      {asks.includes('full') ? <p data-testid="ask-full">{words.askFull}</p> : null}
      {asks.includes('tags') ? (
        <>
          <p data-testid="ask-tags">{words.askTags}</p>
          <div class="offered">
            <button
              type="button"
              class="act"
              onClick={() => void command({ do: 'answer', answer: 'carry-on-without-tags' })}
            >
              <b>{words.withoutTags}</b>
            </button>
            <button
              type="button"
              class="act"
              onClick={() => void command({ do: 'answer', answer: 'with-tags' })}
            >
              <b>{words.goOnWithTags}</b>
            </button>
          </div>
        </>
      ) : null}
      {asks.includes('lane') ? (
        <button
          type="button"
          class="act"
          onClick={() => void command({ do: 'confirm', what: 'lane' })}
        >
          <span>{words.askLane}</span>
          <b>{words.laneClear}</b>
        </button>
      ) : null}
      {asks.includes('crate') ? (
        <button
          type="button"
          class="act"
          onClick={() => void command({ do: 'confirm', what: 'crate' })}
        >
          <span>{words.askCrate}</span>
          <b>{words.crateEmpty}</b>
        </button>
      ) : null}
      {asks.includes('clear') ? (
        <button type="button" class="act" onClick={() => void command({ do: 'clear' })}>
          <b>{words.clear}</b>
        </button>
      ) : null}
    </section>
  );
}

/** Faults, each with what happened, why, and what to do. */
export function Faults() {
  const faults = isLive.value ? (race.value?.faults ?? []) : [];
  if (faults.length === 0) return null;
  return (
    <section class="faults" role="alert">
      <h2>{words.faults}</h2>
      <ul>
        {faults.map(({ name, detail }) => {
          const text = faultTexts.value[name];
          return (
            <li key={name} data-fault={name}>
              <b>{text?.what ?? name}</b>
              {detail === null ? null : <span>{detail}</span>}
              {text === undefined ? null : (
                <>
                  <span>
                    {words.cause}: {text.cause}
                  </span>
                  <span>
                    <strong>{words.remedy}:</strong> {text.remedy}
                  </span>
                </>
              )}
            </li>
          );
        })}
      </ul>
    </section>
  );
}

/** Which device holds manual control. */
export function Control() {
  if (!isLive.value) return null;
  const holder = control.value;
  if (holder === 'nobody') return null;
  return (
    <section class="control">
      <p data-testid="control">
        {holder === 'me' ? words.haveControl : words.otherHasControl(holder)}
      </p>
      {holder === 'me' ? null : (
        <button type="button" class="small" onClick={() => void takeOver()}>
          {words.takeOver}
        </button>
      )}
    </section>
  );
}
